"""What is known of a district's weather, as the judges of risks take it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import takewhile
from typing import Final
from zoneinfo import ZoneInfo

from service.agronomy.risk import Conditions, Day, Hour
from service.agronomy.risk_figures import Wetness
from service.agronomy.risk_wetness import is_wet
from service.core.model import District
from service.core.weather_ports import DayWeather, HourWeather, WeatherDays

# What heat and mildew look back upon.
_DAYS_BACK: Final = 14
# A wet spell that began on the day before is counted from its beginning.
_SPELL_BACK: Final = timedelta(days=1)
# Leaves that were wet for half an hour count as wet in it.
_WET_MINUTES: Final = 30
_HOUR: Final = timedelta(hours=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Ahead:
    """A day that is still forecast, in part or as a whole, ready to be judged; `issued_at` is of the newest forecast."""

    conditions: Conditions
    issued_at: datetime

    @property
    def day(self) -> date:
        """The day."""
        return self.conditions.on


def days_ahead(
    weather: WeatherDays, wetness: Wetness, district: District, today: date, last: date
) -> Iterator[Ahead]:
    """Return the days from today on of which something is forecast; what was measured whole lies behind."""
    days = weather.between(district.id, today - timedelta(days=_DAYS_BACK), last)
    before = tuple(_day(on, one) for on, one in days.items())
    for ahead in range((last - today).days + 1):
        day = today + timedelta(days=ahead)
        begins, ends = (_midnight(one, district.zone) for one in (day, day + timedelta(days=1)))
        hours = weather.hours(district.id, begins - _SPELL_BACK, ends)
        own = {at: hour for at, hour in hours.items() if at >= begins}
        known = days.get(day, DayWeather(observed=False))
        moments = (known.issued_at, *(hour.issued_at for hour in own.values()))
        issued = [moment for moment in moments if moment is not None]
        if not issued:
            continue
        whole = _day(day, _with_hours(known, own))
        conditions = Conditions(
            on=day,
            days=(*(one for one in before if one.on != day), whole),
            hours=(*_spell_before(wetness, hours, begins), *_hours(hours, begins, ends)),
            forecast_elevation_m=district.elevation_m,
        )
        yield Ahead(conditions=conditions, issued_at=max(issued))


def _midnight(day: date, zone: str) -> datetime:
    return datetime.combine(day, time(), ZoneInfo(zone)).astimezone(UTC)


def _spell_before(
    wetness: Wetness, hours: Mapping[datetime, HourWeather], begins: datetime
) -> tuple[Hour | None, ...]:
    """Return the wet hours that lead up to a day without a dry one between; a spell that ended is of the day before."""
    back = reversed(tuple(_hours(hours, begins - _SPELL_BACK, begins)))
    return tuple(takewhile(lambda hour: hour is not None and is_wet(wetness, hour) is True, back))[::-1]


def _hours(hours: Mapping[datetime, HourWeather], begins: datetime, ends: datetime) -> Iterator[Hour | None]:
    while begins < ends:
        yield _hour(hours.get(begins))
        begins += _HOUR


def _hour(known: HourWeather | None) -> Hour | None:
    if known is None or known.air_c is None:
        return None
    return Hour(
        air_c=known.air_c,
        leaf_wet=None if known.wet_minutes is None else known.wet_minutes >= _WET_MINUTES,
        rain_mm=known.rain_mm,
        humidity_percent=known.humidity_percent,
    )


def _with_hours(day: DayWeather, hours: Mapping[datetime, HourWeather]) -> DayWeather:
    """Put in from a day's hours what nobody told of the day itself.

    Also of a few hours: what they show is at least there, though not that there is no more.
    """
    airs = [hour.air_c for hour in hours.values() if hour.air_c is not None]
    rains = [hour.rain_mm for hour in hours.values() if hour.rain_mm is not None]
    if airs and day.tmin_c is None and day.tmax_c is None:
        day = replace(day, tmin_c=min(airs), tmax_c=max(airs))
    if rains and day.rain_mm is None:
        day = replace(day, rain_mm=round(sum(rains), 1))
    return day


def _day(on: date, known: DayWeather) -> Day:
    return Day(
        on=on,
        min_c=known.tmin_c,
        max_c=known.tmax_c,
        rain_mm=known.rain_mm,
        humidity_percent=known.humidity_percent,
    )
