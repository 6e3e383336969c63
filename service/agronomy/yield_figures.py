"""The figures of yields, and what makes no sense among them."""

from itertools import pairwise
from pathlib import Path
from typing import Annotated, Final, Self

from pydantic import Field, model_validator
from pydantic.dataclasses import dataclass as checked

from service.agronomy.figures import DATA, STRICT, Source, read_figures

DEFAULT_YIELD: Final = DATA / "yield.toml"

_MONTHS: Final = 12
_Share = Annotated[float, Field(ge=0, le=5)]
_Grams = Annotated[int, Field(ge=1, le=5_000)]


@checked(frozen=True, kw_only=True, config=STRICT)
class Year:
    """Grams a plant and full year of picking: low, typical, high."""

    grams: tuple[_Grams, _Grams, _Grams]
    source: Source

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if list(self.grams) != sorted(self.grams):
            raise ValueError("the three weights must not fall")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class Age:
    """Days since first fruit and the share of the full pace then; straight lines between the points."""

    points: Annotated[tuple[tuple[int, _Share], ...], Field(min_length=2)]
    source: Source

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.points[0][0] != 0 or any(later[0] <= earlier[0] for earlier, later in pairwise(self.points)):
            raise ValueError("the days of the points must rise from 0")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class Season:
    """The share of the pace in each month, January first, so that a whole year keeps its weight."""

    months: Annotated[tuple[_Share, ...], Field(min_length=_MONTHS, max_length=_MONTHS)]
    source: Source

    @model_validator(mode="after")
    def _keeps_the_year(self) -> Self:
        if abs(sum(self.months) - _MONTHS) > 0.01:  # noqa: PLR2004 - room for figures rounded by hand
            raise ValueError("the mean of the months must be 1")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class PaceFigures:
    """Over how many days and weights a farmer's own pace begins to say something."""

    least_days: Annotated[int, Field(ge=1)]
    least_weights: Annotated[int, Field(ge=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Early:
    """The fewest days from open flower to ripe fruit."""

    flower_to_fruit_days: Annotated[int, Field(ge=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class YieldFigures:
    """All figures of `data/yield.toml`."""

    year: Year
    age: Age
    season: Season
    pace: PaceFigures
    early: Early


def load_yield(path: Path = DEFAULT_YIELD) -> YieldFigures:
    """Read the figures of yields.

    Raises:
        FiguresError: the file cannot be used.
    """
    return read_figures(YieldFigures, path)
