"""How many phones are texted in time."""

from datetime import UTC, datetime, timedelta

import pytest

from service.use_cases.alerts.reaching import allowed_between, in_time

ZONE = "Africa/Dar_es_Salaam"
# Noon in Dar es Salaam.
NOON = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.mark.parametrize(
    ("start", "end", "hours"),
    [
        (NOON, NOON + 3 * HOUR, 3),
        (NOON, NOON + 10 * HOUR, 8),
        (NOON, NOON + 24 * HOUR, 13),
        (NOON + 9 * HOUR, NOON + 18 * HOUR, 0),
        (NOON + 9 * HOUR, NOON + 20 * HOUR, 1),
        (NOON, NOON, 0),
        (NOON, NOON - HOUR, 0),
    ],
    ids=["an afternoon", "into the night", "a day", "a night", "a night and an hour", "no time", "backwards"],
)
def test_only_hours_outside_the_quiet_ones_count(start: datetime, end: datetime, hours: int) -> None:
    """From seven in the morning to eight in the evening, local time, on as many days as lie between."""
    assert hours * HOUR == allowed_between(start, end, ZONE)


@pytest.mark.parametrize(
    ("phones", "ahead", "per_second", "any_hour", "reached"),
    [
        (100, 0, 10.0, False, 100),
        (100_000, 0, 1.0, False, 8 * 3600),
        (100_000, 0, 1.0, True, 10 * 3600),
        (100_000, 8 * 3600 - 5, 1.0, False, 5),
        (100, 10**6, 1.0, False, 0),
    ],
    ids=["all of few", "the pace", "also at night", "behind others", "no room"],
)
def test_pace_queue_and_hours_decide_how_many_are_reached(
    *, phones: int, ahead: int, per_second: float, any_hour: bool, reached: int
) -> None:
    """Ten hours from noon, two of them quiet: as many as the route carries after those ahead."""
    found = in_time(
        phones,
        ahead=ahead,
        per_second=per_second,
        start=NOON,
        end=NOON + 10 * HOUR,
        zone=ZONE,
        any_hour=any_hour,
    )

    assert reached == found
