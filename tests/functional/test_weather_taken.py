"""Weather comes in: seen before it is kept, kept whole or not at all, and taken back whole. On both engines."""

from datetime import date, timedelta
from typing import Final

import pytest

from service.core.errors import Refused
from service.core.weather_ports import DayWeather
from service.use_cases.weather.taking import Outcome
from tests.alert_room import AlertRoom
from tests.village import Village
from tests.weather_station import Station

YESTERDAY: Final = date(2026, 11, 24)
MEASURED: Final = "day,tmin_c,tmax_c,rain_mm\n2026-11-23,8,20,0\n2026-11-24,9,21,4\n"


@pytest.fixture
def station(village: Village) -> Station:
    """A station of nobody's in particular."""
    return Station(village)


def figures(outcome: Outcome) -> tuple[int, int, int]:
    """Return how many lines add, replace and do nothing."""
    return len(outcome.added), len(outcome.replaced), outcome.without_effect


def test_a_look_changes_nothing(station: Station) -> None:
    """What a file would do is told, and nothing of it is kept."""
    shown = station.shows(MEASURED)

    assert (2, 0, 0) == figures(shown)
    assert None is station.knows(YESTERDAY)


def test_kept_then_corrected_then_taken_back(station: Station) -> None:
    """A file adds; a second one replaces one day of it and is wrong; taken back, the first one's day is there again."""
    first = station.sends(MEASURED)
    wrong = station.sends("day,tmin_c,tmax_c,rain_mm\n2026-11-23,8,20,0\n2026-11-24,9,21,400\n")
    seen_wrong = station.knows(YESTERDAY)
    station.takes_back(wrong)
    seen_right = station.knows(YESTERDAY)
    station.takes_back(first)

    assert ((2, 0, 0), (0, 1, 1)) == (figures(first), figures(wrong))
    right = DayWeather(observed=True, tmin_c=9.0, tmax_c=21.0, rain_mm=4.0)
    assert ((right, DayWeather(observed=True, tmin_c=9.0, tmax_c=21.0, rain_mm=400.0)),) == tuple(
        (one.before, one.after) for one in wrong.changes
    )
    assert (400.0, right, None) == (seen_wrong and seen_wrong.rain_mm, seen_right, station.knows(YESTERDAY))


def test_taken_back_twice_is_taken_back_once(station: Station) -> None:
    """A second click does no harm, and the record has one deed."""
    kept = station.sends(MEASURED)
    for _ in range(2):
        station.takes_back(kept)
    deeds = [row["action"] for row in station.village.rows("SELECT action FROM audit ORDER BY id")]

    assert None is station.knows(YESTERDAY)
    assert ["weather.taken", "weather.taken_back"] == deeds


def test_a_file_without_a_day_is_refused(station: Station) -> None:
    """Names of columns alone tell nothing, and are no batch that could be taken back."""
    with pytest.raises(Refused, match="there is no line below the names of the columns"):
        station.shows("day,tmin_c\n")


def test_an_old_forecast_that_comes_late_does_nothing(station: Station) -> None:
    """A newer one is there; the file is said to tell nothing new and makes no batch."""
    tomorrow = "day,tmin_c\n2026-11-26,{}\n"
    station.sends(tomorrow.format(1.4), issued_ago=timedelta(hours=1))

    assert (0, 0, 1) == figures(station.shows(tomorrow.format(6), issued_ago=timedelta(hours=9)))
    with pytest.raises(Refused, match="no line tells anything that is not known already"):
        station.sends(tomorrow.format(6), issued_ago=timedelta(hours=9))


def test_a_faulty_line_keeps_the_whole_file_out(station: Station) -> None:
    """Half a file kept would have to be mended by hand."""
    with pytest.raises(Refused, match="Nothing was kept"):
        station.sends(f"{MEASURED}2026-11-22,8,200,0\n")

    assert None is station.knows(YESTERDAY)


def test_what_was_agreed_to_is_what_is_kept(station: Station) -> None:
    """Other weather that came in between is not replaced unseen."""
    shown = station.shows(MEASURED)
    station.sends("day,rain_mm\n2026-11-24,7\n")

    with pytest.raises(Refused, match="Other weather has come in meanwhile"):
        station.sends(MEASURED, seen=shown.word)
    again = station.sends(MEASURED, seen=station.shows(MEASURED).word)

    assert (1, 1, 0) == figures(again)


def test_an_officer_sends_for_their_own_districts(station: Station) -> None:
    """Neither sending nor taking back reaches into another's; what they did stands in the record."""
    room = AlertRoom(station.village)
    station.officer = room.officer("Ketumali")
    kept = station.sends(MEASURED)
    station.officer = room.officer("Ndaliro")

    with pytest.raises(Refused, match="That district is not yours"):
        station.shows(MEASURED)
    with pytest.raises(Refused, match="There is no import"):
        station.takes_back(kept)
    noted = station.village.rows("SELECT action, subject, officer_id FROM audit")
    assert [("weather.taken", f"batch:{kept.batch_id}", 9001)] == [tuple(row.values()) for row in noted]
