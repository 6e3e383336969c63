"""A district's weather at a glance: the two weeks behind, the week from today on, and what is not known of them."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from service.core.model import District
from service.core.weather_ports import DayWeather, WeatherDays

BEHIND: Final = 14
AHEAD: Final = 7

_NEEDED: Final[tuple[tuple[str, Callable[[DayWeather], bool]], ...]] = (
    ("temperatures", lambda day: day.tmin_c is None or day.tmax_c is None),
    ("rain figure", lambda day: day.rain_mm is None),
)
_NOTHING: Final = DayWeather(observed=False)


@dataclass(frozen=True, kw_only=True, slots=True)
class Overview:
    """What is known; None stands for a day of which nothing is.

    Attributes:
        days: the 14 before today, then 7 from today on: what was measured today cannot have come in yet.
        gaps: what is missing of the 14 and of the 7, a sentence each.
    """

    district: District
    today: date
    days: tuple[tuple[date, DayWeather | None], ...]
    gaps: tuple[str, ...]

    @property
    def known(self) -> bool:
        """Return whether anything is known at all."""
        return any(day is not None for _, day in self.days)


def overview(weather: WeatherDays, district: District, today: date) -> Overview:
    """Return a district's weather at a glance."""
    first = today - timedelta(days=BEHIND)
    known = weather.between(district.id, first, today + timedelta(days=AHEAD - 1))
    days = tuple((on, known.get(on)) for on in (first + timedelta(days=n) for n in range(BEHIND + AHEAD)))
    behind, ahead = days[:BEHIND], days[BEHIND:]
    return Overview(
        district=district,
        today=today,
        days=days,
        gaps=(
            *_gaps(behind, f"of the {BEHIND} days before today"),
            *_gaps(ahead, f"of the {AHEAD} days from today on"),
        ),
    )


def _gaps(days: tuple[tuple[date, DayWeather | None], ...], when: str) -> tuple[str, ...]:
    counted = ((what, sum(lacks(day or _NOTHING) for _, day in days)) for what, lacks in _NEEDED)
    return tuple(f"No {what} for {missing} {when}." for what, missing in counted if missing)
