"""What an officer does about a danger: makes the draft of an alert of it, or leaves it at that.

The draft is an alert like any other, of the officer who makes it: nothing leaves before they have read and confirmed
it. So a danger waits until a text of it has left, not until there is a draft; one whose alert was thrown away, or ended
with nobody told, stands there as before. Dangers without a pre-approved text are for a look at the plants.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from flows.templates import TEMPLATES
from service.agronomy.risk import Hazard
from service.core.alerts import Alert, Audience
from service.core.danger_ports import Danger, DangerRows, DangerState
from service.core.errors import Refused
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases.alerts.drafting import Order, draft, may, seen_by
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.audit import note
from service.use_cases.tools import Tools
from service.use_cases.weather.asking_to_look import ask_to_look


@dataclass(frozen=True, kw_only=True, slots=True)
class _Warning:
    """How a hazard becomes an alert.

    Attributes:
        template: the pre-approved text; None where there is none.
        back: how many days before the danger's day the text names.
        ends: the local hour of the danger's day from which on it is of no use.
    """

    template: str | None = None
    back: int = 0
    ends: int = 20


_WARNINGS: Final[Mapping[str, _Warning]] = {
    # Its text names the day before the night; when the sun is up it is too late.
    Hazard.FROST: _Warning(template="frost", back=1, ends=8),
    Hazard.HEAVY_RAIN: _Warning(template="rain"),
}
_OTHER: Final = _Warning()


class NoDanger(Refused):
    """There is no such danger, or none of this officer's; which of them is not told."""

    def __init__(self) -> None:
        """Say no more than that."""
        super().__init__("There is no such danger among those of your districts.")


class SettlingWork(AlertWork, Protocol):
    """A unit of work, as far as dangers need it."""

    @property
    def dangers(self) -> DangerRows:
        """What threatens."""
        ...


def waiting(
    dangers: DangerRows, districts: Collection[int] | None, tools: Tools, now: datetime
) -> tuple[Danger, ...]:
    """Return the dangers that wait for an officer of these districts and are still to come, the next ones first."""
    return tuple(one for one in _to_come(dangers, districts, tools, now) if one.waits)


def left_at_that(
    dangers: DangerRows, districts: Collection[int] | None, tools: Tools, now: datetime
) -> tuple[Danger, ...]:
    """Return the dangers still to come that an officer has left at that, the next ones first."""
    there = _to_come(dangers, districts, tools, now)
    return tuple(one for one in there if one.state is DangerState.LEFT)


def _to_come(
    dangers: DangerRows, districts: Collection[int] | None, tools: Tools, now: datetime
) -> Iterator[Danger]:
    # A day earlier, as somewhere it may still be yesterday.
    first = now.astimezone(ZoneInfo(tools.programme.zone)).date() - timedelta(days=1)
    return (one for one in dangers.from_day(districts, first) if now < ends_at(one))


def ends_at(danger: Danger) -> datetime:
    """Return from when on a danger is over."""
    ends = _WARNINGS.get(danger.hazard, _OTHER).ends
    return datetime.combine(danger.day, time(ends), ZoneInfo(danger.zone)).astimezone(UTC)


def has_text(danger: Danger) -> bool:
    """Return whether there is a pre-approved text for a danger."""
    return danger.pest is not None or _WARNINGS.get(danger.hazard, _OTHER).template is not None


def write_alert(
    work: SettlingWork, tools: Tools, officer: Officer, danger_id: int, *, now: datetime
) -> Alert:
    """Make the draft of an alert of a danger, or return the one that was made unless it came to nothing.

    Raises:
        NoDanger: it is not this officer's.
        Refused: there is no pre-approved text for it, or it is over.
    """
    danger = _theirs(work, officer, danger_id)
    if danger.state is DangerState.WRITTEN and danger.settled and danger.alert_id is not None:
        return seen_by(work.alerts.get(danger.alert_id), officer)
    alert = draft(work, tools, officer, _order(tools, danger), now)
    work.dangers.change(
        danger.id, state=DangerState.WRITTEN, alert_id=alert.id, settled_by=officer.id, settled_at=now
    )
    work.commit()
    return alert


def leave(work: SettlingWork, officer: Officer, danger_id: int, *, now: datetime) -> None:
    """Leave a danger at that: it comes back only if it becomes graver by a level.

    A draft of it stays as it is.

    Raises:
        NoDanger: it is not this officer's.
    """
    danger = _theirs(work, officer, danger_id)
    if not danger.waits:
        return
    work.dangers.change(danger.id, state=DangerState.LEFT, settled_by=officer.id, settled_at=now)
    detail = {"hazard": danger.hazard, "day": danger.day, "level": danger.level}
    note(work, officer, "danger.left", f"danger:{danger.id}", detail, at=work.audit.now())
    work.commit()


def _order(tools: Tools, danger: Danger) -> Order:
    """Return the order that a danger's alert is drafted from.

    Raises:
        Refused: there is no pre-approved text for it.
    """
    if danger.pest is not None:
        return ask_to_look(tools, danger, ends_at(danger))
    warning = _WARNINGS.get(danger.hazard, _OTHER)
    if warning.template is None or danger.figure is None:
        raise Refused(
            "There is no prepared text for that: look at the plants, and write your own words if needed."
        )
    template = TEMPLATES[warning.template]
    return Order(
        # Graver by a level it is another alert; so it is after one that came to nothing.
        idem_key=f"danger-{danger.id}-{danger.level}-{danger.alert_id or 0}",
        audience=Audience(districts=frozenset({danger.district_id}), metres_from=danger.metres_from),
        template=warning.template,
        on=danger.day - timedelta(days=warning.back),
        figure=min(max(danger.figure, template.least), template.most),
        words={},
        useless_after=ends_at(danger),
    )


def _theirs(work: SettlingWork, officer: Officer, danger_id: int) -> Danger:
    may(officer, Permission.ALERT)
    danger = work.dangers.find(danger_id)
    if danger is None or not officer.covers(danger.district_id):
        raise NoDanger
    return danger
