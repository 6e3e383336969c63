"""The clock of a demo. A wish is kept as a number of hours; the worker carries it out, hour by hour."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from service.use_cases.hours import QUIET_UNTIL

# The setting that holds how many hours the worker still has to step.
WISH: Final = "clock_wish"
# Eight weeks: a slip of the finger must not keep the worker busy for an hour.
MOST_HOURS: Final = 8 * 7 * 24
HOUR: Final = timedelta(hours=1)


class Shelf(Protocol):
    """The few settings that live in the database."""

    def setting(self, name: str) -> str | None:
        """Return the setting `name`, None where it was never put."""
        ...

    def put_setting(self, name: str, value: str) -> None:
        """Keep the setting `name`."""
        ...


class ShelfWork(Protocol):
    """A unit of work, as far as the demo's clock needs it."""

    @property
    def staff(self) -> Shelf:
        """The settings."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def _until_morning(at: datetime, zone: str) -> int:
    """Return how many whole hours bring an instant to the next end of quiet hours, or less than one past it."""
    # Looking at the hours ahead needs no clock hand to be set to one that summer time may leave out.
    hours = (
        hour for hour in range(1, 49) if (at + hour * HOUR).astimezone(ZoneInfo(zone)).hour == QUIET_UNTIL
    )
    return next(hours, 24)


STEPS: Final[dict[str, Callable[[datetime, str], int]]] = {
    "hour": lambda _at, _zone: 1,
    "day": lambda _at, _zone: 24,
    "week": lambda _at, _zone: 7 * 24,
    "morning": _until_morning,
}


def hours_left(shelf: Shelf) -> int:
    """Return how many hours the worker still has to step."""
    return int(shelf.setting(WISH) or 0)


def wish(work: ShelfWork, step: str, now: datetime, zone: str) -> None:
    """Add one of `STEPS` to the wish, counted from where the wish so far will have led.

    Args:
        work: a unit of work.
        step: the name of the step; a LookupError is raised for any other.
        now: service time.
        zone: the IANA zone whose mornings are meant.
    """
    left = hours_left(work.staff)
    more = STEPS[step](now + left * HOUR, zone)
    work.staff.put_setting(WISH, str(min(left + more, MOST_HOURS)))
    work.commit()
