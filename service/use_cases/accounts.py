"""What officers change of their own way in: the password and the second factor.

Whoever has either must show it first, so that a browser left open is not an account lost. Each change ends all other
sessions of the officer.
"""

from collections.abc import Sequence
from datetime import datetime

from service.core.errors import Refused
from service.core.password_rules import what_is_wrong
from service.core.staff import Account, Session
from service.core.staff_ports import Passwords, StaffWork
from service.core.totp import matching_counter
from service.use_cases.audit import note
from service.use_cases.secret import code_digest
from service.use_cases.sign_in import Attempt, OpenWork, TooManyTries, prove

_NOT_PROVEN = "That did not match. Check the password and, if you have a second factor, its six digits."
_SLOWLY = "That was tried too often. Wait a quarter of an hour and try again."
_WRONG_DIGITS = "Those are not the digits of this moment. Wait for the next six and type them."


def change_password(
    open_work: OpenWork,
    passwords: Passwords,
    session: Session,
    attempt: Attempt,
    new: str,
    *,
    common: frozenset[str],
    programme: str,
    now: datetime,
) -> None:
    """Set an officer's password.

    Args:
        open_work: opens units of work.
        passwords: hashes.
        session: whose password it is; it goes on, all others of theirs end.
        attempt: the present password and the digits, for an officer who has them.
        new: the new password as typed.
        common: passwords that are tried first.
        programme: the programme's name, which no password may mostly be.
        now: real time.

    Raises:
        Refused: what was shown does not match, or the new password is not good enough; the sentence says which.
    """
    _show(open_work, passwords, session, attempt, now)
    wrong = what_is_wrong(new, common=common, names=(session.officer.name, programme))
    if wrong:
        raise Refused(wrong)
    kept = passwords.hash(new)
    with open_work() as work:
        work.logins.set_password(session.officer.id, kept)
        _after(work, session, "password.set", now)


def offer_second_factor(
    open_work: OpenWork,
    passwords: Passwords,
    session: Session,
    attempt: Attempt,
    *,
    secret: bytes,
    now: datetime,
) -> None:
    """Keep a fresh secret for the officer to put into an app; the present one holds until it is confirmed.

    Raises:
        Refused: what was shown does not match.
    """
    _show(open_work, passwords, session, attempt, now)
    with open_work() as work:
        work.logins.offer_second_factor(session.officer.id, secret)
        work.commit()


def confirm_second_factor(
    work: StaffWork, session: Session, digits: str, codes: Sequence[str], now: datetime
) -> None:
    """Let the offered secret be the second factor, now that its digits were typed once.

    Args:
        work: a unit of work.
        session: whose it is; it goes on, all others of theirs end.
        digits: what the app shows.
        codes: fresh recovery codes; only their digests are kept, and those from before are void.
        now: real time.

    Raises:
        Refused: no secret was offered, or those are not its digits.
    """
    secret = work.logins.offered_second_factor(session.officer.id)
    counter = matching_counter(secret, digits, now) if secret else None
    if counter is None:
        raise Refused(_WRONG_DIGITS)
    work.logins.take_second_factor(session.officer.id, counter, [code_digest(code) for code in codes])
    _after(work, session, "second_factor.set", now)


def _show(
    open_work: OpenWork, passwords: Passwords, session: Session, attempt: Attempt, now: datetime
) -> None:
    with open_work() as work:
        account = work.logins.account_of(session.officer.id)
    if account is None or account.password_hash is None:
        # Fresh from a one-time code: there is nothing yet that could be shown.
        return
    shown = prove(open_work, passwords, attempt, now)
    if isinstance(shown, TooManyTries):
        raise Refused(_SLOWLY)
    if not isinstance(shown, Account) or shown.officer.id != session.officer.id:
        raise Refused(_NOT_PROVEN)


def _after(work: StaffWork, session: Session, action: str, now: datetime) -> None:
    work.logins.end_sessions_of(session.officer.id, but=session.digest)
    note(work, session.officer, action, f"officer:{session.officer.id}", {}, at=now)
    work.commit()
