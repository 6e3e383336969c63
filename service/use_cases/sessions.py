"""Sessions: a browser that has signed in stays so for half an hour without a page, and twelve hours at most.

All instants here are real time, not service time: a demo whose clock leaps a week must not sign its officer out.
"""

from datetime import datetime
from typing import Final

from service.core.staff import Officer, Session
from service.core.staff_ports import LoginRows, StaffWork
from service.use_cases.audit import note
from service.use_cases.secret import digest

ALL_OTHERS: Final = "others"


def find_session(logins: LoginRows, token: str, now: datetime) -> Session | None:
    """Return the session that `token` opens, if it still holds."""
    session = logins.session(digest(token))
    return session if session and session.alive(now) else None


def ended_session(logins: LoginRows, token: str, now: datetime) -> Session | None:
    """Return the session that `token` opened until its time was over; none that somebody ended."""
    session = logins.session(digest(token))
    return session if session and not session.alive(now) else None


def see_session(work: StaffWork, session: Session, now: datetime) -> None:
    """Keep a session from falling idle."""
    work.logins.see_session(session.digest, now)
    work.commit()


def sign_out(work: StaffWork, session: Session) -> None:
    """End a session at once."""
    work.logins.end_session(session.digest)
    work.commit()


def open_sessions(logins: LoginRows, officer: Officer, now: datetime) -> tuple[Session, ...]:
    """Return the sessions of an officer that hold, the last one seen first."""
    return tuple(session for session in logins.sessions_of(officer.id) if session.alive(now))


def end_own(work: StaffWork, session: Session, which: str, now: datetime) -> None:
    """End one of the officer's own sessions by its handle, or all but the present one.

    A handle that names none of their own ends nothing: nobody can end another's session.
    """
    if which == ALL_OTHERS:
        work.logins.end_sessions_of(session.officer.id, but=session.digest)
    for one in work.logins.sessions_of(session.officer.id):
        if one.handle == which:
            work.logins.end_session(one.digest)
    note(work, session.officer, "session.ended", f"officer:{session.officer.id}", {"which": which}, at=now)
    work.commit()
