"""Quiet hours, in the local time of whoever is texted."""

from datetime import UTC, datetime, timedelta
from itertools import count
from zoneinfo import ZoneInfo

QUIET_FROM = 20
QUIET_UNTIL = 7


def is_quiet(instant: datetime, zone: str) -> bool:
    """Return whether it is a quiet hour in `zone` at `instant`."""
    hour = instant.astimezone(ZoneInfo(zone)).hour
    return hour >= QUIET_FROM or hour < QUIET_UNTIL


def next_allowed(instant: datetime, zone: str) -> datetime:
    """Return `instant` itself outside quiet hours, else the next morning's first allowed instant.

    Found by looking at the hours ahead rather than by setting a clock hand, so that no change to or from
    summer time can lead to an hour that does not exist.
    """
    if not is_quiet(instant, zone):
        return instant
    local = instant.astimezone(ZoneInfo(zone))
    top = instant - timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
    # Zones lie whole quarters of an hour from UTC, and some change by half an hour: step by quarters.
    quarters = (top + timedelta(minutes=15 * number) for number in count(1))
    return next(quarter for quarter in quarters if not is_quiet(quarter, zone))


def quiet_begins(instant: datetime, zone: str) -> datetime:
    """Return when the quiet hours of the local day begin, for an `instant` outside quiet hours."""
    local = instant.astimezone(ZoneInfo(zone))
    return local.replace(hour=QUIET_FROM, minute=0, second=0, microsecond=0, fold=0).astimezone(UTC)


def day_begins(instant: datetime, zone: str) -> datetime:
    """Return when the local day of an instant began; midnight may be missing there, then it is just after."""
    local = instant.astimezone(ZoneInfo(zone))
    return local.replace(hour=0, minute=0, second=0, microsecond=0, fold=0).astimezone(UTC)


def next_day(instant: datetime, zone: str) -> datetime:
    """Return the first allowed instant of the next local day."""
    local = instant.astimezone(ZoneInfo(zone))
    return next_allowed(day_begins(local + timedelta(days=1), zone), zone)
