"""The drawing of three weeks of weather: a bar from the lowest to the highest temperature, and one for rain."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from service.core.weather_ports import DayWeather
from service.use_cases.weather.overview import BEHIND, Overview

# Heights of the two drawings in pixels, and how much of its day a bar fills.
WARM: Final = 96
RAIN: Final = 48
_FILLED: Final = 0.7
_LETTERED: Final = 4
# Small rain should look small, and a steady temperature not like a fever.
_LEAST_RAIN_MM: Final = 20
_LEAST_SPAN_C: Final = 20


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """One part of a day: `top` and `height` in pixels."""

    top: float
    height: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Column:
    """One day; `x` in percent of the drawing's width.

    Attributes:
        warm: None where a temperature is missing; `rain` likewise.
        lettered: whether its day of the month is written below.
    """

    on: date
    day: DayWeather | None
    x: float
    warm: Bar | None
    rain: Bar | None
    lettered: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Chart:
    """The whole drawing: all days, and where the coming ones begin, in percent."""

    columns: tuple[Column, ...]
    width: float
    to_come: float
    warmest_c: float | None
    coldest_c: float | None
    wettest_mm: float


def draw(seen: Overview) -> Chart:
    """Return the drawing of a district's weather."""
    known = [day for _, day in seen.days if day is not None]
    warm = [value for day in known for value in (day.tmin_c, day.tmax_c) if value is not None]
    coldest, warmest = min(warm, default=None), max(warm, default=None)
    wettest = max((day.rain_mm or 0 for day in known), default=0)
    span = max((warmest or 0) - (coldest or 0), _LEAST_SPAN_C)
    share = 100 / len(seen.days)

    def warmth(day: DayWeather | None) -> Bar | None:
        if day is None or day.tmin_c is None or day.tmax_c is None or warmest is None:
            return None
        top = (warmest - day.tmax_c) / span * WARM
        return Bar(top=round(top, 1), height=round(max((day.tmax_c - day.tmin_c) / span * WARM, 1), 1))

    def wetness(day: DayWeather | None) -> Bar | None:
        if day is None or not day.rain_mm:
            return None
        height = max(day.rain_mm / max(wettest, _LEAST_RAIN_MM) * RAIN, 1)
        return Bar(top=round(RAIN - height, 1), height=round(height, 1))

    return Chart(
        columns=tuple(
            Column(
                on=on,
                day=day,
                x=round(place * share, 2),
                warm=warmth(day),
                rain=wetness(day),
                lettered=place % _LETTERED == 0,
            )
            for place, (on, day) in enumerate(seen.days)
        ),
        width=round(share * _FILLED, 2),
        to_come=round(BEHIND * share, 2),
        warmest_c=warmest,
        coldest_c=coldest,
        wettest_mm=wettest,
    )
