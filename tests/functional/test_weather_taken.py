"""Weather comes in: seen before it is kept, kept whole or not at all, and taken back whole. On both engines."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import pytest

from service.core.errors import Refused
from service.core.model import District
from service.core.staff import Officer
from service.core.weather_ports import DayWeather, ImportWay
from service.use_cases.weather.rows import Origin
from service.use_cases.weather.sheets import read_sheet
from service.use_cases.weather.taking import Outcome, Sender, rehearse, take, take_back
from tests.alert_room import AlertRoom
from tests.village import Village

YESTERDAY: Final = date(2026, 11, 24)
MEASURED: Final = "day,tmin_c,tmax_c,rain_mm\n2026-11-23,8,20,0\n2026-11-24,9,21,4\n"


@dataclass
class Station:
    """Sends files of weather to Ketumali for a test."""

    village: Village
    officer: Officer | None = None

    @property
    def district(self) -> District:
        """Ketumali."""
        with self.village.database.look() as work:
            return next(one for one in work.people.districts() if one.name == "Ketumali")

    def _sender(self) -> Sender:
        return Sender(
            officer=self.officer, way=ImportWay.COMMAND, file_name="week.csv", at=self.village.clock.now()
        )

    def _origin(self, issued_ago: timedelta | None) -> Origin:
        now = self.village.clock.now()
        return Origin(
            zone=self.district.zone, now=now, issued_at=None if issued_ago is None else now - issued_ago
        )

    def shows(self, text: str, issued_ago: timedelta | None = None) -> Outcome:
        """Return what a file would change."""
        gathered, district = read_sheet(text, self._origin(issued_ago)), self.district
        with self.village.database.work() as work:
            return rehearse(work, district, gathered, self._sender())

    def sends(self, text: str, *, issued_ago: timedelta | None = None, seen: str | None = None) -> Outcome:
        """Send a file to be kept."""
        gathered, district = read_sheet(text, self._origin(issued_ago)), self.district
        with self.village.database.work() as work:
            return take(work, district, gathered, self._sender(), seen=seen)

    def takes_back(self, outcome: Outcome) -> None:
        """Take a batch back."""
        assert outcome.batch_id is not None
        with self.village.database.work() as work:
            take_back(work, self.officer, outcome.batch_id, at=self.village.clock.now())

    def knows(self, day: date = YESTERDAY) -> DayWeather | None:
        """Return what is known of a day."""
        district = self.district
        with self.village.database.look() as work:
            return work.weather.between(district.id, day, day).get(day)


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
    assert None is station.knows()


def test_kept_then_corrected_then_taken_back(station: Station) -> None:
    """A file adds; a second one replaces one day of it and is wrong; taken back, the first one's day is there again."""
    first = station.sends(MEASURED)
    wrong = station.sends("day,tmin_c,tmax_c,rain_mm\n2026-11-23,8,20,0\n2026-11-24,9,21,400\n")
    seen_wrong = station.knows()
    station.takes_back(wrong)
    seen_right = station.knows()
    station.takes_back(first)

    assert ((2, 0, 0), (0, 1, 1)) == (figures(first), figures(wrong))
    right = DayWeather(observed=True, tmin_c=9.0, tmax_c=21.0, rain_mm=4.0)
    assert ((right, DayWeather(observed=True, tmin_c=9.0, tmax_c=21.0, rain_mm=400.0)),) == tuple(
        (one.before, one.after) for one in wrong.changes
    )
    assert (400.0, right, None) == (seen_wrong and seen_wrong.rain_mm, seen_right, station.knows())


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

    assert None is station.knows()


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
