"""Quiet hours, in the local time of whoever is texted."""

from datetime import UTC, datetime

import pytest

from service.use_cases.hours import day_begins, is_quiet, next_allowed, next_day, quiet_begins


@pytest.mark.parametrize(
    ("instant", "zone", "allowed"),
    [
        pytest.param(
            "2026-11-25T04:00", "Africa/Dar_es_Salaam", "2026-11-25T04:00", id="seven-in-the-morning"
        ),
        pytest.param("2026-11-25T16:59", "Africa/Dar_es_Salaam", "2026-11-25T16:59", id="a-minute-to-eight"),
        pytest.param(
            "2026-11-25T17:00", "Africa/Dar_es_Salaam", "2026-11-26T04:00", id="eight-in-the-evening"
        ),
        pytest.param("2026-11-25T22:30", "Africa/Dar_es_Salaam", "2026-11-26T04:00", id="in-the-night"),
        pytest.param(
            "2026-11-26T03:59:59", "Africa/Dar_es_Salaam", "2026-11-26T04:00", id="a-second-to-seven"
        ),
        pytest.param(
            "2026-11-25T15:00", "Asia/Kathmandu", "2026-11-26T01:15", id="five-hours-forty-five-from-utc"
        ),
        pytest.param("2026-03-29T00:30", "Europe/Madrid", "2026-03-29T05:00", id="a-night-an-hour-short"),
        pytest.param("2026-10-24T23:30", "Europe/Madrid", "2026-10-25T06:00", id="a-night-an-hour-long"),
        pytest.param(
            "2026-10-03T16:00", "Australia/Lord_Howe", "2026-10-03T20:00", id="a-change-of-half-an-hour"
        ),
    ],
)
def test_a_text_waits_for_the_morning(instant: str, zone: str, allowed: str) -> None:
    """From 20:00 to 7:00 nothing is pushed; the first instant after it is found in any zone (IANA tz database)."""
    at = datetime.fromisoformat(instant).replace(tzinfo=UTC)
    expected = datetime.fromisoformat(allowed).replace(tzinfo=UTC)

    assert expected == next_allowed(at, zone)
    assert (at != expected) == is_quiet(at, zone)
    assert not is_quiet(expected, zone)


def test_a_local_day_has_its_own_beginning_evening_and_morrow() -> None:
    """Half past one in the night and ten in the morning of 26 November, 3 hours ahead of UTC (IANA tz database)."""
    night, morning = (
        datetime(2026, 11, day, hour, 30, 15, 7, tzinfo=UTC) for day, hour in ((25, 22), (26, 7))
    )
    zone = "Africa/Dar_es_Salaam"

    assert [datetime(2026, 11, 25, 21, tzinfo=UTC)] * 2 == [day_begins(one, zone) for one in (night, morning)]
    assert datetime(2026, 11, 26, 17, tzinfo=UTC) == quiet_begins(morning, zone)
    assert [datetime(2026, 11, 27, 4, tzinfo=UTC)] * 2 == [next_day(one, zone) for one in (night, morning)]
