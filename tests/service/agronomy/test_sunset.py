"""When the sun sets: against almanac times, from memory, to within ten minutes."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from service.agronomy.sunset import sunset

TEN_MINUTES = timedelta(minutes=10)


@pytest.mark.parametrize(
    ("zone", "latitude", "told"),
    [
        pytest.param("Africa/Dar_es_Salaam", None, "2026-11-28 18:24", id="near the equator"),
        pytest.param("Africa/Nairobi", -1.3, "2026-06-21 18:34", id="on it"),
        pytest.param("Europe/London", None, "2026-06-21 21:21", id="summer time"),
        pytest.param("Europe/London", None, "2026-12-21 15:53", id="winter"),
        pytest.param("America/Lima", None, "2026-12-21 18:31", id="west of Greenwich"),
        pytest.param("Australia/Sydney", None, "2026-06-21 16:54", id="winter in June"),
    ],
)
def test_the_sun_sets_as_almanacs_say(zone: str, latitude: float | None, told: str) -> None:
    """By the clock of the place, whatever its time of the year."""
    there = datetime.fromisoformat(told).replace(tzinfo=ZoneInfo(zone))

    assert TEN_MINUTES >= abs(sunset(there.date(), zone, latitude) - there)


def test_a_zone_that_is_no_place_goes_by_its_clock() -> None:
    """On the equator at an equinox the sun sets about six in the evening (the equation of time is seven minutes)."""
    there = datetime(2026, 3, 20, 18, 7, tzinfo=ZoneInfo("Etc/GMT-3"))

    assert TEN_MINUTES >= abs(sunset(date(2026, 3, 20), "Etc/GMT-3") - there)


def test_where_the_sun_does_not_set_there_is_an_answer() -> None:
    """Midsummer at 70 degrees north: midnight, the nearest there is."""
    assert sunset(date(2026, 6, 21), "Europe/Oslo", 70.0).hour in {22, 23}
