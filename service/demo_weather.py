"""The demo's invented weather: two weeks measured, a week forecast, and a cold night in the highest district.

It comes in as files do, so that what it threatens is found as for real. The figures come from a rule, not from chance.
"""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Final

from service.clock import local_day
from service.core.model import District
from service.core.weather_ports import ImportWay
from service.use_cases.tools import Tools
from service.use_cases.weather.overview import AHEAD, BEHIND
from service.use_cases.weather.rows import Origin
from service.use_cases.weather.sheets import read_sheet
from service.use_cases.weather.taking import Sender, WeatherWork, take

_COLUMNS: Final = "day,tmin_c,tmax_c,rain_mm"
# Roughly as warm as it is so high up between the tropics; common practice, no source.
_AT_THE_SEA_C: Final = 28.0
_COLDER_C_PER_M: Final = 0.0055
_HALF_A_DAY_C: Final = 6.0
# Below what makes a wet day, so that the cold night stands alone.
_SHOWER_MM: Final = 4
_SHOWERS: Final = frozenset({2, 6, 8})
# Tomorrow's night: there is time to look at the draft, and it is near enough to be judged.
_COLD_AHEAD: Final = 2
_COLD_C: Final = 0.5
_ISSUED_AGO: Final = timedelta(hours=2)


def bring_weather(work: WeatherWork, tools: Tools, now: datetime) -> None:
    """Let the weather of all districts have come in, up to a week after `now`."""
    districts = work.people.districts()
    highest = max(districts, key=lambda one: one.elevation_m or 0)
    for district in districts:
        today = local_day(now, district.zone)
        measured = (today - timedelta(days=back) for back in range(BEHIND, 0, -1))
        forecast = (today + timedelta(days=ahead) for ahead in range(AHEAD + 1))
        cold_on = today + timedelta(days=_COLD_AHEAD) if district is highest else None
        for what, days, issued_at in (
            ("measured", measured, None),
            ("forecast", forecast, now - _ISSUED_AGO),
        ):
            lines = "\n".join([_COLUMNS, *_lines(district, days, cold_on)])
            gathered = read_sheet(lines, Origin(zone=district.zone, now=now, issued_at=issued_at))
            file_name = f"{district.name}-{what}.csv"
            sender = Sender(officer=None, way=ImportWay.COMMAND, file_name=file_name, at=now)
            take(work, tools, district, gathered, sender)


def _lines(district: District, days: Iterator[date], cold_on: date | None) -> Iterator[str]:
    height = district.elevation_m or 0
    mean = _AT_THE_SEA_C - _COLDER_C_PER_M * height
    for day in days:
        luck = (7 * day.toordinal() + height // 50) % 10
        low, high = mean - _HALF_A_DAY_C + 0.2 * luck, mean + _HALF_A_DAY_C - 0.3 * luck
        rain = _SHOWER_MM if luck in _SHOWERS else 0
        yield f"{day},{_COLD_C if day == cold_on else low:.1f},{high:.1f},{rain}"
