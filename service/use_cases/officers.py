"""Officers and how they sign in: a one-time code, a session, and a slow-down for whoever guesses.

A code carries 130 random bits and works once within a day; a session token carries 256. Neither is kept:
the database holds their SHA-256 digests, and a plain digest is enough because nobody can run through so many
bits. A session ends after half an hour without a page and twelve hours after signing in, whatever happens.
All instants here are real time, not service time: a demo whose clock leaps a week must not sign its officer
out.
"""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Protocol

from service.core.errors import Refused
from service.core.rights import Role
from service.core.staff import LONGEST, Officer, Session

__all__ = ["Officer", "Session"]

CODE_LIFE: Final = timedelta(hours=24)
WRONG_TRIES: Final = 10
WINDOW: Final = timedelta(minutes=15)
LONGEST_NAME: Final = 80


class StaffRows(Protocol):
    """What is kept of officers, their codes, their tries and their sessions."""

    def add_officer(self, name: str, role: Role, now: datetime) -> Officer:
        """Keep a new officer."""
        ...

    def officer(self, name: str) -> Officer | None:
        """Return the officer of that name."""
        ...

    def officers(self) -> tuple[Officer, ...]:
        """Return all officers by name."""
        ...

    def add_code(self, digest: bytes, officer_id: int, *, made_at: datetime, expires_at: datetime) -> None:
        """Keep the digest of a one-time code."""
        ...

    def use_code(self, digest: bytes, now: datetime) -> Officer | None:
        """Use a code up and return whose it was; None if it is unknown, used or too old."""
        ...

    def one_at_a_time(self) -> None:
        """Wait until no other sign-in stands between its count and its entry: no guess slips past."""
        ...

    def wrong_tries(self, address: str, since: datetime) -> tuple[datetime, ...]:
        """Return when wrong codes came from `address` after `since`, oldest first."""
        ...

    def note_try(self, row_id: int, address: str, now: datetime, *, ok: bool) -> None:
        """Keep that a code was tried."""
        ...

    def begin_session(self, session: Session) -> None:
        """Keep a new session."""
        ...

    def session(self, digest: bytes) -> Session | None:
        """Return the session with that digest, alive or not."""
        ...

    def see_session(self, digest: bytes, now: datetime) -> None:
        """Keep that the session was seen at `now`."""
        ...

    def end_session(self, digest: bytes) -> None:
        """Forget a session; an unknown one is no fault."""
        ...

    def end_sessions_before(self, began_before: datetime) -> None:
        """Forget all sessions that began before that instant."""
        ...


class StaffWork(Protocol):
    """A unit of work, as far as officers need it."""

    @property
    def staff(self) -> StaffRows:
        """The rows."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class TooManyTries:
    """No code is looked at for this address until `wait` has passed."""

    wait: timedelta


@dataclass(frozen=True, kw_only=True, slots=True)
class WrongCode:
    """The code is unknown, used or too old; which of them is not told."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Attempt:
    """One try at signing in, with the fresh secrets to use if it succeeds.

    Attributes:
        code: what was typed.
        address: where it came from; an IPv6 address is best given as its network.
        token: the session token that will go into the cookie.
        csrf: the secret for the session's forms.
        row_id: an unused row id.
        replaces: the token that the browser brought along, whose session ends.
    """

    code: str
    address: str
    token: str
    csrf: str
    row_id: int
    replaces: str | None = None


def digest(secret: str) -> bytes:
    """Return what is kept of a token: SHA-256, FIPS 180-4."""
    return hashlib.sha256(secret.encode()).digest()


def code_digest(code: str) -> bytes:
    """Return what is kept of a one-time code; its groups, spaces and case do not matter."""
    return digest("".join(char for char in code.upper() if char.isalnum()))


def add_officer(work: StaffWork, *, name: str, code: str, now: datetime, role: Role | None = None) -> Officer:
    """Add an officer, or find the one of that name, and give them a one-time code.

    Without a role the first person of all becomes administrator, and everybody after them officer.

    Raises:
        Refused: the name is empty or longer than 80 letters.
    """
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME:
        raise Refused(f"An officer's name has 1 to {LONGEST_NAME} letters.")
    chosen = role or (Role.OFFICER if work.staff.officers() else Role.ADMINISTRATOR)
    officer = work.staff.officer(plain) or work.staff.add_officer(plain, chosen, now)
    work.staff.add_code(code_digest(code), officer.id, made_at=now, expires_at=now + CODE_LIFE)
    work.commit()
    return officer


def sign_in(work: StaffWork, attempt: Attempt, now: datetime) -> Session | WrongCode | TooManyTries:
    """Try a one-time code. After ten wrong tries in a quarter of an hour an address has to wait.

    Tries made while waiting are not counted: nobody is locked out for good, however long somebody hammers.
    """
    staff = work.staff
    staff.one_at_a_time()
    wrong = staff.wrong_tries(attempt.address, now - WINDOW)
    if len(wrong) >= WRONG_TRIES:
        return TooManyTries(wait=wrong[-WRONG_TRIES] + WINDOW - now)
    officer = staff.use_code(code_digest(attempt.code), now)
    staff.note_try(attempt.row_id, attempt.address, now, ok=officer is not None)
    if officer is None:
        work.commit()
        return WrongCode()
    if attempt.replaces is not None:
        staff.end_session(digest(attempt.replaces))
    staff.end_sessions_before(now - LONGEST)
    session = Session(
        digest=digest(attempt.token), officer=officer, csrf=attempt.csrf, began_at=now, seen_at=now
    )
    staff.begin_session(session)
    work.commit()
    return session


def find_session(staff: StaffRows, token: str, now: datetime) -> Session | None:
    """Return the session that `token` opens, if it still holds."""
    session = staff.session(digest(token))
    return session if session and session.alive(now) else None


def see_session(work: StaffWork, session: Session, now: datetime) -> None:
    """Keep a session from falling idle."""
    work.staff.see_session(session.digest, now)
    work.commit()


def sign_out(work: StaffWork, session: Session) -> None:
    """End a session at once."""
    work.staff.end_session(session.digest)
    work.commit()
