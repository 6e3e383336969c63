"""The columns of weather files: how each is called, what it holds, and what it may be.

The names carry the units. The limits are wide: what lies outside is a slip of a unit or of a decimal point, and no
weather in which strawberries are grown; common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Span(StrEnum):
    """What one line of a file is about; also the column that says which day or hour it is."""

    DAY = "day"
    HOUR = "hour"


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """One column.

    Attributes:
        column: how files call it.
        name: the attribute of `DayWeather` or `HourWeather` that it becomes.
        label: how people call it.
        low: the least that is taken, in the column's unit; `high` is the most.
        a_unit: how many of the column's units make one of the attribute's.
    """

    column: str
    name: str
    label: str
    low: int
    high: int
    unit: str
    a_unit: int = 1


_RAIN: Final = "rain_mm"
_HUMIDITY: Final = Figure(
    column="humidity_percent", name="humidity_percent", label="humidity", low=0, high=100, unit="%"
)
FIGURES: Final[Mapping[Span, tuple[Figure, ...]]] = {
    Span.DAY: (
        Figure(column="tmin_c", name="tmin_c", label="lowest", low=-30, high=40, unit="°C"),
        Figure(column="tmax_c", name="tmax_c", label="highest", low=-20, high=55, unit="°C"),
        Figure(column=_RAIN, name=_RAIN, label="rain", low=0, high=800, unit="mm"),
        # Measured at, or brought to, 2 m above the ground.
        Figure(column="wind_m_s", name="wind_m_s", label="wind", low=0, high=40, unit="m/s"),
        Figure(column="vapour_hpa", name="ea_kpa", label="vapour", low=0, high=60, unit="hPa", a_unit=10),
        _HUMIDITY,
        Figure(
            column="radiation_mj_m2",
            name="radiation_mj_m2",
            label="radiation",
            low=0,
            high=45,
            unit="MJ/m2",
        ),
    ),
    Span.HOUR: (
        Figure(column="air_c", name="air_c", label="air", low=-30, high=55, unit="°C"),
        Figure(column=_RAIN, name=_RAIN, label="rain", low=0, high=300, unit="mm"),
        _HUMIDITY,
        Figure(column="wet_minutes", name="wet_minutes", label="leaves wet", low=0, high=60, unit="minutes"),
    ),
}


def told(span: Span, weather: object) -> str:
    """Return what is known of a day or an hour, in words: lowest 1.4 °C, rain 5.5 mm."""
    known = ((figure, getattr(weather, figure.name)) for figure in FIGURES[span])
    return ", ".join(
        f"{figure.label} {value * figure.a_unit:.4g} {figure.unit}"
        for figure, value in known
        if value is not None
    )
