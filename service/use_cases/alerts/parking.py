"""Parking: an alert that has not begun waits for somebody else when whoever stands for it may send it no more.

It is done in the transaction in which the officer is disabled or changed, and looked at once more as the alert begins,
so that no way of taking a right away can be forgotten.
"""

from datetime import datetime
from typing import Final, Protocol

from service.core.alert_ports import AlertRows, Writer
from service.core.alert_states import Move, moved
from service.core.alerts import Alert
from service.core.rights import ROLES, Permission
from service.core.staff import Officer
from service.use_cases.audit import AuditEnd, note

_WROTE: Final = "its officer"
_APPROVED: Final = "its second person"


class Standing(Protocol):
    """Who stands for alerts."""

    @property
    def alerts(self) -> AlertRows:
        """Alerts."""
        ...


class ParkingWork(Standing, Protocol):
    """A unit of work, as far as parking needs it."""

    @property
    def audit(self) -> AuditEnd:
        """The record of what officers did."""
        ...


def nobody_stands_for(work: Standing, alert: Alert) -> str | None:
    """Return why an alert may not go, in words; None while all who stand for it may send it."""
    standing = [(_WROTE, alert.officer_id, Permission.ALERT)]
    if alert.approved_by is not None:
        standing.append((_APPROVED, alert.approved_by, Permission.APPROVE))
    whys = (_lacks(part, work.alerts.writer(who), right, alert) for part, who, right in standing)
    return next(filter(None, whys), None)


def _lacks(part: str, writer: Writer, right: Permission, alert: Alert) -> str | None:
    lacks = (
        (not writer.active, "is disabled"),
        (right not in ROLES[writer.role], "may not do that any more"),
        (
            writer.districts is not None and not alert.audience.districts <= writer.districts,
            "has not all of its districts any more",
        ),
    )
    return next((f"{part} {writer.name} {words}" for is_so, words in lacks if is_so), None)


def park_alerts_of(
    work: ParkingWork, officer: Officer, *, by: Officer | None, at: datetime
) -> tuple[int, ...]:
    """Park what an officer may stand for no more, as they are now; return those alerts. It does not commit.

    Args:
        work: the unit of work in which the officer was changed.
        officer: who wrote or approved the alerts.
        by: who changed the officer; None for a command at the machine itself.
        at: real time, for the record.
    """
    parked = []
    for alert_id in work.alerts.scheduled_by(officer.id):
        alert = work.alerts.get(alert_id)
        why = nobody_stands_for(work, alert) if alert else None
        if alert and why:
            work.alerts.set_state(alert_id, moved(alert.state, Move.PARK), why=why)
            note(work, by, "alert.park", f"alert:{alert_id}", {"officer": officer.id}, at=at)
            parked.append(alert_id)
    return tuple(parked)
