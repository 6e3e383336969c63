"""Officers: who there is, what they may do and where; how they sign in stands in `sign_in` and `accounts`.

A change of role or districts, a reset and a disabling end all sessions of that officer in the same transaction: from
the next request on they are somebody else, or nobody. What they may stand for no more is parked in it too.
"""

from datetime import datetime, timedelta
from typing import Final, Protocol

from service.core.alert_ports import AlertRows
from service.core.errors import Refused
from service.core.rights import EVERYWHERE, Permission, Role
from service.core.staff import Officer
from service.core.staff_ports import StaffWork
from service.use_cases.alerts.drafting import may
from service.use_cases.alerts.parking import park_alerts_of
from service.use_cases.audit import note
from service.use_cases.secret import code_digest

__all__ = ["Officer"]

CODE_LIFE: Final = timedelta(hours=24)
LONGEST_NAME: Final = 80


class OfficerWork(StaffWork, Protocol):
    """A unit of work in which an officer's rights change, and with them whose alerts may go."""

    @property
    def alerts(self) -> AlertRows:
        """Alerts."""
        ...


def add_officer(
    work: StaffWork,
    *,
    name: str,
    code: str,
    now: datetime,
    role: Role | None = None,
    districts: frozenset[int] = frozenset(),
    by: Officer | None = None,
) -> Officer:
    """Add an officer with a one-time code, or give one who is there another code.

    Args:
        work: a unit of work.
        name: as it is shown and typed; spaces are put in order.
        code: the one-time code; only its digest is kept.
        now: real time.
        role: without one the first person of all is administrator, and everybody after them officer.
        districts: where an officer or approver may see and send; an administrator may everywhere.
        by: who does it; None for a command at the machine itself.

    Raises:
        Refused: the name is empty or longer than 80 letters, or its officer is disabled.
    """
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME:
        raise Refused(f"An officer's name has 1 to {LONGEST_NAME} letters.")
    officer = work.staff.officer(plain)
    if officer is None:
        chosen = role or (Role.OFFICER if work.staff.officers() else Role.ADMINISTRATOR)
        officer = work.staff.add_officer(plain, chosen, now)
        work.staff.set_districts(officer.id, districts)
        detail = {"name": plain, "role": chosen, "districts": districts}
        note(work, by, "officer.added", _subject(officer), detail, at=now)
    if work.logins.account_of(officer.id) is None:
        raise Refused(f"{officer.name} is disabled: use another name, or trussline officer enable.")
    _invite(work, officer, code, now)
    note(work, by, "officer.invited", _subject(officer), {"name": officer.name}, at=now)
    work.commit()
    return work.staff.officer(plain) or officer


def _invite(work: StaffWork, officer: Officer, code: str, now: datetime) -> None:
    work.logins.add_code(code_digest(code), officer.id, made_at=now, expires_at=now + CODE_LIFE)


def change_officer(
    work: OfficerWork,
    name: str,
    *,
    now: datetime,
    role: Role | None = None,
    districts: frozenset[int] | None = None,
    by: Officer | None = None,
) -> Officer:
    """Give an officer another role or other districts; what is None stays. All their sessions end.

    Alerts of theirs that have not begun, and that they may send no more, are parked.

    Raises:
        Refused: there is no such officer, or nobody would be left to administer.
    """
    officer = _named(work, name)
    after = role or officer.role
    if after not in EVERYWHERE:
        _leave_an_administrator(work, officer)
    work.staff.set_officer(officer.id, role=after)
    if districts is not None:
        work.staff.set_districts(officer.id, districts)
    work.logins.end_sessions_of(officer.id)
    changed = _named(work, name)
    detail = {"role": [officer.role, changed.role], "districts": [officer.districts, changed.districts]}
    note(work, by, "officer.changed", _subject(officer), detail, at=now)
    park_alerts_of(work, changed, by=by, at=now)
    work.commit()
    return changed


def disable_officer(work: OfficerWork, name: str, *, now: datetime, by: Officer | None = None) -> Officer:
    """Shut an officer out at once: sessions and unused codes end, alerts that have not begun are parked.

    Nothing they did is undone.

    Raises:
        Refused: there is no such officer, or nobody would be left to administer.
    """
    officer = _named(work, name)
    _leave_an_administrator(work, officer)
    work.staff.set_officer(officer.id, disabled_at=now)
    work.logins.end_sessions_of(officer.id)
    work.logins.drop_codes(officer.id)
    note(work, by, "officer.disabled", _subject(officer), {"name": officer.name}, at=now)
    park_alerts_of(work, officer, by=by, at=now)
    work.commit()
    return officer


def reset_officer(
    work: StaffWork, name: str, *, code: str, now: datetime, by: Officer | None = None
) -> Officer:
    """Take password and second factor from an officer, let them in again if disabled, and give them a code.

    It is the way back for whoever has lost phone and recovery codes. There is none by text: a number can be taken
    over by whoever talks a shop into a new card.

    Raises:
        Refused: there is no such officer.
    """
    officer = _named(work, name)
    work.staff.set_officer(officer.id, disabled_at=None)
    work.logins.set_password(officer.id, None)
    work.logins.drop_second_factor(officer.id)
    work.logins.end_sessions_of(officer.id)
    work.logins.drop_codes(officer.id)
    _invite(work, officer, code, now)
    note(work, by, "officer.reset", _subject(officer), {"name": officer.name}, at=now)
    work.commit()
    return officer


def give_phone(
    work: StaffWork, name: str, phone_id: int, *, now: datetime, by: Officer | None = None
) -> Officer:
    """Let a phone speak for an officer: what they may do by text, they may do from it and from no other.

    Raises:
        Refused: there is no such officer, or whoever does it is no administrator.
    """
    if by is not None:
        may(by, Permission.ADMINISTER)
    officer = _named(work, name)
    work.staff.add_phone(officer.id, phone_id)
    note(work, by, "officer.phone", _subject(officer), {"phone": phone_id}, at=now)
    work.commit()
    return officer


def _named(work: StaffWork, name: str) -> Officer:
    found = work.staff.officer(" ".join(name.split()))
    if found is None:
        raise Refused(f"There is no officer called {name}: trussline officer list shows who there is.")
    return found


def _leave_an_administrator(work: StaffWork, officer: Officer) -> None:
    others = (one for one in work.staff.officers() if one.id != officer.id)
    if officer.role in EVERYWHERE and not any(one.role in EVERYWHERE for one in others):
        raise Refused(f"{officer.name} is the last administrator: make another one first.")


def _subject(officer: Officer) -> str:
    return f"officer:{officer.id}"
