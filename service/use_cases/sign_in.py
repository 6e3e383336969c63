"""Signing in: by name and password, with the second factor where there is one, or by a one-time code.

Whoever guesses is slowed down, by address and by account: after ten wrong tries in a quarter of an hour the next has
to wait. Nobody is locked out for good. Where an account was signed in from lately, only tries for it from that
address count, so that a stranger who hammers on a name, or a neighbour who shares the address, does not keep its owner
out.

A try is kept as wrong before it is looked at, and set right afterwards: of a thousand sent at once ten are looked at.
"""

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final, TypeAlias

from service.core.staff import FORM_KEPT, LONGEST, Account, Session
from service.core.staff_ports import LoginRows, Passwords, StaffWork
from service.core.totp import matching_counter
from service.use_cases.audit import note
from service.use_cases.places import see_place
from service.use_cases.secret import code_digest, digest

WRONG_TRIES: Final = 10
WINDOW: Final = timedelta(minutes=15)
# For so long an address from which an account was signed in counts as its owner's.
KNOWN_FOR: Final = timedelta(days=30)
# What a browser calls itself ends with what tells it from others.
_LONGEST_BROWSER: Final = 250

OpenWork: TypeAlias = Callable[[], AbstractContextManager[StaffWork]]


@dataclass(frozen=True, kw_only=True, slots=True)
class TooManyTries:
    """Nothing is looked at until `wait` has passed."""

    wait: timedelta


@dataclass(frozen=True, kw_only=True, slots=True)
class WrongCode:
    """What was given opens nothing; which part of it was wrong is not told."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Attempt:
    """One try at signing in, with the fresh secrets to use if it succeeds.

    Attributes:
        address: where it came from; an IPv6 address is best given as its network.
        token: the session token that will go into the cookie.
        csrf: the secret for the session's forms.
        row_id: an unused row id.
        code: the one-time code that was typed, where one was.
        name: the name that was typed with a password.
        password: the password.
        digits: those of the second factor, or a recovery code.
        browser: how the browser calls itself.
        replaces: the token that the browser brought along, whose session ends.
    """

    address: str
    token: str
    csrf: str
    row_id: int
    code: str = field(default="", repr=False)
    name: str = ""
    password: str = field(default="", repr=False)
    digits: str = field(default="", repr=False)
    browser: str = ""
    replaces: str | None = field(default=None, repr=False)


Answer: TypeAlias = Session | WrongCode | TooManyTries


def sign_in(work: StaffWork, attempt: Attempt, now: datetime) -> Answer:
    """Try a one-time code; an account that has a second factor needs that too."""
    logins = work.logins
    waiting = _admit(logins, attempt, None, now)
    if waiting:
        return waiting
    account = logins.code_owner(code_digest(attempt.code), now)
    right = (
        account is not None
        and second_factor_holds(logins, account, attempt.digits, now)
        and logins.use_code(code_digest(attempt.code), now)
    )
    if account is None or not right:
        work.commit()
        return WrongCode()
    session = _begin(work, account, attempt, now, "code")
    work.commit()
    return session


def sign_in_by_password(open_work: OpenWork, passwords: Passwords, attempt: Attempt, now: datetime) -> Answer:
    """Try a name and a password. Between its transactions the password is hashed: that takes long, and blocks nobody.

    Raises:
        Refused: too many passwords are being looked at just now.
    """
    tried = prove(open_work, passwords, attempt, now)
    if not isinstance(tried, Account):
        return tried
    with open_work() as work:
        # Whoever was disabled or reset while the password was looked at stays outside.
        if work.logins.account_of(tried.officer.id) != tried:
            return WrongCode()
        session = _begin(work, tried, attempt, now, "password")
        work.commit()
    return session


def prove(
    open_work: OpenWork, passwords: Passwords, attempt: Attempt, now: datetime
) -> Account | WrongCode | TooManyTries:
    """Look at name, password and digits, as for signing in, and return whose they are.

    Raises:
        Refused: too many passwords are being looked at just now.
    """
    name = " ".join(attempt.name.split())
    with open_work() as work:
        waiting = _admit(work.logins, attempt, account_word(name), now)
        if waiting:
            return waiting
        account = work.logins.account(name)
        work.commit()
    right = passwords.matches(account.password_hash if account else None, attempt.password)
    if account is None or not right:
        return WrongCode()
    with open_work() as work:
        if not second_factor_holds(work.logins, account, attempt.digits, now):
            return WrongCode()
        work.logins.try_was_right(attempt.row_id, account_word(account.officer.name))
        work.commit()
    return account


def account_word(name: str) -> str:
    """Return what tries for a name are counted under: people type passwords into the wrong field."""
    return digest(f"account {name.casefold()}").hex()


def second_factor_holds(logins: LoginRows, account: Account, typed: str, now: datetime) -> bool:
    """Use up what was typed as second factor: six digits, or else a recovery code. None is needed where none is set."""
    if account.second_factor is None:
        return True
    counter = matching_counter(account.second_factor, typed, now)
    if counter is not None:
        return logins.use_second_factor(account.officer.id, counter)
    return logins.use_recovery_code(account.officer.id, code_digest(typed), now)


def _admit(logins: LoginRows, attempt: Attempt, account: str | None, now: datetime) -> TooManyTries | None:
    """Keep a try as wrong and let it through, or say how long it has to wait; a refused one is not counted."""
    logins.one_at_a_time()
    known = account is not None and logins.signed_in_from(account, attempt.address, now - KNOWN_FOR)
    if known:
        # Others who share the address do not keep its owner out either.
        tries = [logins.wrong_tries(now - WINDOW, address=attempt.address, account=account)]
    else:
        tries = [logins.wrong_tries(now - WINDOW, address=attempt.address)]
        if account is not None:
            tries.append(logins.wrong_tries(now - WINDOW, account=account))
    full = [wrong[-WRONG_TRIES] for wrong in tries if len(wrong) >= WRONG_TRIES]
    if full:
        return TooManyTries(wait=max(full) + WINDOW - now)
    logins.note_try(attempt.row_id, attempt.address, account, now)
    return None


def _begin(work: StaffWork, account: Account, attempt: Attempt, now: datetime, way: str) -> Session:
    logins, officer = work.logins, account.officer
    word = account_word(officer.name)
    logins.try_was_right(attempt.row_id, word)
    if attempt.replaces is not None:
        logins.end_session(digest(attempt.replaces))
    # One that has just run out still says whose form came too late.
    logins.end_sessions_before(now - LONGEST - FORM_KEPT)
    logins.forget_tries_before(now - KNOWN_FOR)
    session = Session(
        digest=digest(attempt.token),
        officer=officer,
        csrf=attempt.csrf,
        began_at=now,
        seen_at=now,
        address=attempt.address,
        browser=attempt.browser[:_LONGEST_BROWSER],
        lacks=account.lacks,
    )
    logins.begin_session(session)
    note(work, officer, "officer.signed_in", f"officer:{officer.id}", {"way": way}, at=now)
    see_place(work, officer, attempt.address, attempt.browser, now)
    return session
