"""The best weather that is known of a plot's day, and where the plot lies.

A day of which more than temperatures is known is taken by itself; else the mean of what temperatures are known in the
week around it, since the method for temperatures alone is meant for a week; else a usual day of the month.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from flows.watering import Sky
from service.agronomy.evapotranspiration import Reference, Weather, reference, saturation_kpa
from service.agronomy.usual_weather import usual_weather
from service.agronomy.zone_latitude import zone_latitude
from service.core.errors import Refused
from service.core.model import District, Plot
from service.core.weather_ports import DayWeather

# Where nobody told how high a place lies: the middle of the highlands the calendar is written for.
_ELEVATION_M: Final = 1500


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where a plot lies, as far as water depends on it.

    Attributes:
        assumed: names of what nobody told: latitude_deg, elevation_m.
    """

    latitude_deg: float
    elevation_m: int
    assumed: frozenset[str]


@dataclass(frozen=True, kw_only=True, slots=True)
class SkyOver:
    """The weather that an answer is reckoned with."""

    kind: Sky
    weather: Weather
    found: Reference


def place_of(plot: Plot, district: District) -> Place:
    """Return where a plot lies, by its own elevation or its district's."""
    elevation_m = district.elevation_m if plot.elevation_m is None else plot.elevation_m
    taken = {"latitude_deg": district.latitude is None, "elevation_m": elevation_m is None}
    return Place(
        latitude_deg=zone_latitude(district.zone) if district.latitude is None else district.latitude / 10,
        elevation_m=_ELEVATION_M if elevation_m is None else elevation_m,
        assumed=frozenset(name for name, holds in taken.items() if holds),
    )


def sky_over(known: Mapping[date, DayWeather], place: Place, on: date) -> SkyOver:
    """Return the best weather that is known and makes sense."""
    ways: tuple[Callable[[Mapping[date, DayWeather], Place, date], tuple[Sky, Weather] | None], ...] = (
        _the_day,
        _the_week,
    )
    for way in ways:
        # Figures of two sources may not fit each other: then fewer of them are taken.
        try:
            found = way(known, place, on)
            if found is not None:
                return SkyOver(kind=found[0], weather=found[1], found=reference(found[1]))
        except Refused:
            continue
    weather = usual_weather(latitude_deg=place.latitude_deg, elevation_m=place.elevation_m, on=on)
    return SkyOver(kind=Sky.USUAL, weather=weather, found=reference(weather))


def _the_day(known: Mapping[date, DayWeather], place: Place, on: date) -> tuple[Sky, Weather] | None:
    """Return the weather of the day itself, where more than its temperatures is known."""
    day = known.get(on)
    if day is None or day.tmin_c is None or day.tmax_c is None:
        return None
    more = {"ea_kpa": _vapour_kpa(day), "wind_m_s": day.wind_m_s, "radiation_mj_m2": day.radiation_mj_m2}
    given = {name: value for name, value in more.items() if value is not None}
    if not given:
        return None
    height = {} if day.wind_m_s is None else {"wind_height_m": 2.0}
    weather = Weather(
        latitude_deg=place.latitude_deg,
        elevation_m=place.elevation_m,
        on=on,
        tmin_c=day.tmin_c,
        tmax_c=day.tmax_c,
        **given,
        **height,
    )
    return (Sky.MEASURED if day.observed else Sky.FORECAST), weather


def _vapour_kpa(day: DayWeather) -> float | None:
    """Return the vapour pressure, where need be by the mean humidity (FAO-56 Eq. 19)."""
    if day.ea_kpa is not None or day.humidity_percent is None or day.tmin_c is None or day.tmax_c is None:
        return day.ea_kpa
    return day.humidity_percent / 100 * (saturation_kpa(day.tmax_c) + saturation_kpa(day.tmin_c)) / 2


def _the_week(known: Mapping[date, DayWeather], place: Place, on: date) -> tuple[Sky, Weather] | None:
    """Return the mean of the temperatures of the week around the day, of which some days may be missing."""
    days = [
        (day.tmin_c, day.tmax_c)
        for day in known.values()
        if day.tmin_c is not None and day.tmax_c is not None
    ]
    if not days:
        return None
    weather = Weather(
        latitude_deg=place.latitude_deg,
        elevation_m=place.elevation_m,
        on=on,
        tmin_c=sum(low for low, _ in days) / len(days),
        tmax_c=sum(high for _, high in days) / len(days),
    )
    measured = all(day.observed for day in known.values() if day.tmax_c is not None)
    return (Sky.MEASURED if measured else Sky.FORECAST), weather
