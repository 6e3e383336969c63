"""The weather of a usual day of a month, by elevation and latitude, for places of which no weather is known.

It is a rule of thumb and no climate: a mean at the level of the sea, colder with height, a little warmer in the warm
months, with the same span between night and day everywhere. What rests on it must say so.
"""

import math
from datetime import date
from functools import cache
from typing import Annotated, Final

from pydantic import Field
from pydantic.dataclasses import dataclass

from service.agronomy.evapotranspiration import Weather
from service.agronomy.figures import DATA, STRICT, Source, read_figures

_FILE: Final = DATA / "usual_weather.toml"
# One day stands for its whole month, so that an answer does not change from day to day without a reason.
_MIDDLE: Final = 15
_DAYS: Final = 365

_Day = Annotated[int, Field(ge=1, le=_DAYS)]
_Positive = Annotated[float, Field(gt=0)]


@dataclass(frozen=True, kw_only=True, config=STRICT)
class SeaLevel:
    """The mean temperature of the year at the level of the sea."""

    mean_c: float
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Lapse:
    """By how much the mean falls with each kilometre of height."""

    c_a_km: _Positive
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class DaySpan:
    """From the lowest to the highest temperature of a day."""

    span_c: _Positive
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Year:
    """How the mean moves over the year, by degrees from the equator."""

    c_a_degree: Annotated[float, Field(ge=0)]
    warmest_south: _Day
    warmest_north: _Day
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class UsualWeatherFigures:
    """All of the file."""

    version: Annotated[int, Field(ge=1)]
    sea_level: SeaLevel
    lapse: Lapse
    day: DaySpan
    year: Year


@cache
def usual_weather_figures() -> UsualWeatherFigures:
    """Return the figures that are shipped. A fault in them is a fault of ours, and ends in an exception."""
    return read_figures(UsualWeatherFigures, _FILE)


def usual_weather(*, latitude_deg: float, elevation_m: float, on: date) -> Weather:
    """Return a usual day of the month of `on`.

    Raises:
        Refused: no such place is on the ground between the polar circles.
    """
    figures = usual_weather_figures()
    middle = on.replace(day=_MIDDLE)
    warmest = figures.year.warmest_south if latitude_deg < 0 else figures.year.warmest_north
    season = math.cos(2 * math.pi * (middle.timetuple().tm_yday - warmest) / _DAYS)
    mean_c = (
        figures.sea_level.mean_c
        - figures.lapse.c_a_km * elevation_m / 1000
        + figures.year.c_a_degree * abs(latitude_deg) * season
    )
    return Weather(
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
        on=middle,
        tmin_c=mean_c - figures.day.span_c / 2,
        tmax_c=mean_c + figures.day.span_c / 2,
    )
