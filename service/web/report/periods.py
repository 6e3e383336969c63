"""Weeks and months: the days a report is of, and those before and after."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from service.agronomy.calendar import WEEK
from service.clock import local_instant
from service.core.weeks import week_of
from service.db.queries.reporting import Days

_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Period:
    """A week from its Monday on, or a month; `last` is still in it."""

    length: str
    first: date
    last: date

    @property
    def before(self) -> date:
        """A day of the one before."""
        return self.first - _DAY

    @property
    def after(self) -> date:
        """A day of the one after."""
        return self.last + _DAY

    @property
    def days(self) -> tuple[date, ...]:
        """All its days."""
        return tuple(self.first + number * _DAY for number in range((self.last - self.first).days + 1))

    def within(self, zone: str) -> Days:
        """Return its days with the instants at which they begin and end in `zone`."""
        return Days(
            first=self.first,
            last=self.last,
            begins=local_instant(self.first, 0, zone),
            ends=local_instant(self.after, 0, zone),
        )


def _week(day: date) -> tuple[date, date]:
    monday = week_of(day)
    return monday, monday + timedelta(days=WEEK - 1)


def _month(day: date) -> tuple[date, date]:
    # Thirty-one days after its first lies the next month, whichever it is.
    first = day.replace(day=1)
    return first, (first + timedelta(days=31)).replace(day=1) - _DAY


LENGTHS: Final[Mapping[str, Callable[[date], tuple[date, date]]]] = {"week": _week, "month": _month}
# The calendar of Python ends with 9999, and no programme began before this one.
_EARLIEST, _LATEST = date(2000, 1, 1), date(2999, 12, 31)


def period(length: str, day: str, today: date) -> Period:
    """Return the week or month that holds a day; what cannot be read is this week."""
    try:
        wanted = min(max(date.fromisoformat(day), _EARLIEST), _LATEST)
    except ValueError:
        wanted = today
    chosen = length if length in LENGTHS else "week"
    first, last = LENGTHS[chosen](wanted)
    return Period(length=chosen, first=first, last=last)
