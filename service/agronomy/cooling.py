"""After picking: how long fruit still keeps, by the hours it has lain at which temperatures.

Each hour uses up a share of the fruit's life, the larger the warmer it lies. How long fruit keeps at a steady
temperature is known at a few; between two of them its logarithm is drawn as a straight line, and beyond the
warmest the last line goes on. All figures are ranges, and none of them says that fruit is fit to eat.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, takewhile
from pathlib import Path
from typing import Annotated, Final, Self

from pydantic import Field, model_validator
from pydantic.dataclasses import dataclass as checked

from service.agronomy.figures import DATA, STRICT, Source, possible, read_figures

DEFAULT_COOLING: Final = DATA / "cooling.toml"

_HOURS_A_DAY: Final = 24
_Days = Annotated[float, Field(gt=0, le=60)]


@checked(frozen=True, kw_only=True, config=STRICT)
class Keeps:
    """Shortest and longest days that fruit keeps at a steady temperature in °C."""

    at_c: float
    days: tuple[_Days, _Days]
    source: Source

    @model_validator(mode="after")
    def _is_a_range(self) -> Self:
        if self.days[0] > self.days[1]:
            raise ValueError("the shorter time comes first")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class Cooling:
    """Within which hours after picking fruit must lie at `cold_c` °C or less."""

    within_hours: Annotated[float, Field(gt=0)]
    cold_c: float
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Size:
    """The least diameter in millimetres that a class of fruit asks for."""

    name: Annotated[str, Field(min_length=1)]
    least_mm: Annotated[int, Field(ge=0)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Punnet:
    """What a punnet holds where nobody has told."""

    grams: Annotated[int, Field(ge=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class CoolingFigures:
    """All figures of `data/cooling.toml`."""

    keeps: Annotated[tuple[Keeps, ...], Field(min_length=2)]
    cooling: Cooling
    sizes: tuple[Size, ...]
    punnet: Punnet

    @model_validator(mode="after")
    def _warmer_is_shorter(self) -> Self:
        for colder, warmer in pairwise(self.keeps):
            if colder.at_c >= warmer.at_c:
                raise ValueError("the temperatures of keeps must rise")
            if warmer.days[0] > colder.days[0] or warmer.days[1] > colder.days[1]:
                raise ValueError("warmer fruit cannot keep longer")
        return self


@dataclass(frozen=True, kw_only=True, slots=True)
class Lain:
    """Hours for which fruit has lain at a temperature in °C.

    Raises:
        Refused: it is frozen or cooked, or the hours cannot be.
    """

    hours: float
    at_c: float

    def __post_init__(self) -> None:
        """Refuse what no fruit outlasts: below 0 °C it freezes."""
        possible("Hours since picking", self.hours, 0, 1_000, "hours")
        possible("The temperature of picked fruit", self.at_c, 0, 45, "°C")


@dataclass(frozen=True, kw_only=True, slots=True)
class ShelfLife:
    """How long fruit still keeps.

    Attributes:
        days_left: the shortest and the longest, at `kept_at_c`; 0 when its life is used up.
        kept_at_c: the temperature it is kept at from now on.
        used_percent: what the hours so far used up of its life, reckoned with the shortest times, at most 100.
        hours_warm: hours before it first lay cold.
        cooled_late: whether these were more than they may be.
        beyond_figures: whether some of it was warmer than any temperature with a figure.
    """

    days_left: tuple[float, float]
    kept_at_c: float
    used_percent: float
    hours_warm: float
    cooled_late: bool
    beyond_figures: bool

    @property
    def sell_today(self) -> bool:
        """Whether it may not keep until tomorrow."""
        return self.days_left[0] < 1


def load_cooling(path: Path = DEFAULT_COOLING) -> CoolingFigures:
    """Read the figures of picked fruit.

    Raises:
        FiguresError: the file cannot be used.
    """
    return read_figures(CoolingFigures, path)


def keeps_days(figures: CoolingFigures, at_c: float) -> tuple[float, float]:
    """Return the shortest and longest days that fresh fruit keeps at a steady temperature.

    Raises:
        Refused: no fruit is kept at that temperature.
    """
    possible("The temperature of picked fruit", at_c, 0, 45, "°C")
    right = bisect_right(figures.keeps, at_c, key=lambda point: point.at_c)
    left = min(max(right - 1, 0), len(figures.keeps) - 2)
    colder, warmer = figures.keeps[left], figures.keeps[left + 1]
    # Colder than the coldest figure nothing is gained.
    along = max(0.0, (at_c - colder.at_c) / (warmer.at_c - colder.at_c))
    shortest, longest = (
        math.exp(math.log(cold) * (1 - along) + math.log(warm) * along)
        for cold, warm in zip(colder.days, warmer.days, strict=True)
    )
    return shortest, longest


def shelf_life(figures: CoolingFigures, lain: Sequence[Lain], kept_at_c: float) -> ShelfLife:
    """Return how long fruit keeps that has `lain` so, in order from picking, and is then kept at `kept_at_c`.

    Raises:
        Refused: no fruit is kept at that temperature.
    """
    used = (_used(figures, lain, 0), _used(figures, lain, 1))
    fresh = keeps_days(figures, kept_at_c)
    warm = sum(leg.hours for leg in takewhile(lambda leg: leg.at_c > figures.cooling.cold_c, lain))
    warmest = figures.keeps[-1].at_c
    return ShelfLife(
        days_left=((1 - used[0]) * fresh[0], (1 - used[1]) * fresh[1]),
        kept_at_c=kept_at_c,
        used_percent=100 * used[0],
        hours_warm=warm,
        cooled_late=warm > figures.cooling.within_hours,
        beyond_figures=kept_at_c > warmest or any(leg.at_c > warmest for leg in lain),
    )


def _used(figures: CoolingFigures, lain: Sequence[Lain], end: int) -> float:
    """Return the share of its life that fruit has used, by the shortest (0) or longest (1) times."""
    return min(1.0, sum(leg.hours / _HOURS_A_DAY / keeps_days(figures, leg.at_c)[end] for leg in lain))
