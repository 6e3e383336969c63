"""The demo's weather: nothing of it is missing, and one cold night ahead waits for an officer."""

from datetime import timedelta

from service.agronomy.risk import Hazard, Level
from service.demo_weather import bring_weather
from service.use_cases.weather.judging import judge_once_a_day
from service.use_cases.weather.overview import overview
from service.use_cases.weather.settling import waiting
from tests.village import Village


def test_the_demo_has_weather_and_a_cold_night_to_come(village: Village) -> None:
    """In the highest district, tomorrow's night; nights that come nearer change nothing of it."""
    now = village.clock.now()
    with village.database.work() as work:
        bring_weather(work, village.tools, now)
        judge_once_a_day(work, village.tools, now)
        seen = [overview(work.weather, one, village.today) for one in work.people.districts()]
        (danger,) = waiting(work.dangers, None, village.tools, now)
        (tomorrow,) = waiting(work.dangers, None, village.tools, now + timedelta(days=1))

    assert {()} == {one.gaps for one in seen}
    assert ("Ndaliro", Hazard.FROST, Level.WATCH) == (danger.district, danger.hazard, Level(danger.level))
    assert village.today + timedelta(days=2) == danger.day
    assert danger == tomorrow
