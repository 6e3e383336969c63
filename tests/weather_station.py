"""A station that sends files of weather to a village, in one line each."""

from dataclasses import dataclass
from datetime import date, timedelta

from service.core.model import District
from service.core.staff import Officer
from service.core.weather_ports import DayWeather, ImportWay
from service.use_cases.weather.rows import Origin
from service.use_cases.weather.sheets import read_sheet
from service.use_cases.weather.taking import Outcome, Sender, rehearse, take, take_back
from tests.village import Village


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
            return take(work, self.village.tools, district, gathered, self._sender(), seen=seen)

    def takes_back(self, outcome: Outcome) -> None:
        """Take a batch back."""
        assert outcome.batch_id is not None
        with self.village.database.work() as work:
            take_back(work, self.village.tools, self.officer, outcome.batch_id, at=self.village.clock.now())

    def knows(self, day: date) -> DayWeather | None:
        """Return what is known of a day."""
        district = self.district
        with self.village.database.look() as work:
            return work.weather.between(district.id, day, day).get(day)
