"""How many phones an alert reaches before it is of no more use, by the route's pace and the quiet hours."""

from datetime import datetime, timedelta

from service.use_cases.hours import next_allowed, quiet_begins


def in_time(
    phones: int,
    *,
    ahead: int,
    per_second: float,
    start: datetime,
    end: datetime,
    zone: str,
    any_hour: bool,
) -> int:
    """Return how many of `phones` are texted between two instants.

    Args:
        phones: how many texts there are.
        ahead: how many other texts leave before the first of them.
        per_second: the route's pace.
        start: when the first may leave.
        end: from when on they are of no use.
        zone: whose quiet hours count.
        any_hour: whether quiet hours do not count.
    """
    time = end - start if any_hour else allowed_between(start, end, zone)
    return min(phones, max(int(time.total_seconds() * per_second) - ahead, 0))


def allowed_between(start: datetime, end: datetime, zone: str) -> timedelta:
    """Return how much time between two instants lies outside quiet hours."""
    time, here = timedelta(), next_allowed(start, zone)
    while here < end:
        until = min(quiet_begins(here, zone), end)
        time += until - here
        here = next_allowed(until, zone)
    return time
