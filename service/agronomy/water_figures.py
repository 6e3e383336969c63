"""What a plot needs in water, as figures: read from data/water.toml, checked, each with its source."""

from functools import cache
from itertools import pairwise
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator
from pydantic.dataclasses import dataclass

from service.agronomy.figures import DATA, STRICT, Source, read_figures
from service.agronomy.traits import MulchKind, WaterMethod

_FILE: Final = DATA / "water.toml"

Soil = Literal["sandy", "loam", "clay_loam"]

_Share = Annotated[float, Field(ge=0, le=1)]
_Positive = Annotated[float, Field(gt=0)]


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Crop:
    """The crop coefficient by age: straight lines between points."""

    ages: tuple[int, ...]
    coefficients: tuple[_Positive, ...]
    source: Source

    @model_validator(mode="after")
    def _points_rise(self) -> Self:
        if len(self.ages) != len(self.coefficients):
            raise ValueError("each age needs a coefficient")
        if self.ages[:1] != (0,) or any(later <= earlier for earlier, later in pairwise(self.ages)):
            raise ValueError("ages must rise from 0")
        return self

    def coefficient(self, age_days: int) -> float:
        """Return the coefficient at an age in days from planting; after the last point it stays."""
        points = tuple(zip(self.ages, self.coefficients, strict=True))
        for (begin, low), (end, high) in pairwise(points):
            if age_days <= end:
                return low + (high - low) * (age_days - begin) / (end - begin)
        return self.coefficients[-1]


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Mulch:
    """What a cover leaves of the need, and the share of rain that comes through it."""

    need: _Share
    rain: _Share
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Giving:
    """A way of giving water, with the share of it that reaches the roots."""

    efficiency: Annotated[float, Field(gt=0, le=1)]
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Holding:
    """What a soil holds between wet and wilting, in mm for each metre of depth."""

    available_mm_m: _Positive
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Roots:
    """How deep roots go, and the share of the water there that they take without effort."""

    depth_m: _Positive
    depletion: _Share
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Rain:
    """The rain of a day that counts for nothing, in mm."""

    least_mm: Annotated[float, Field(ge=0)]
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Scarce:
    """The share of the whole need that keeps plants alive."""

    share: _Share
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class Assumed:
    """What is taken for a plot of which nothing is known; units stand in the names."""

    age_days: Annotated[int, Field(ge=0)]
    mulch: MulchKind
    water_method: WaterMethod
    soil: Soil
    bed_m: _Positive
    path_m: _Positive
    rows: Annotated[int, Field(ge=1)]
    spacing_m: _Positive
    source: Source


@dataclass(frozen=True, kw_only=True, config=STRICT)
class WaterFigures:
    """All of the file."""

    version: Annotated[int, Field(ge=1)]
    crop: Crop
    mulch: dict[MulchKind, Mulch]
    water_method: dict[WaterMethod, Giving]
    soil: dict[Soil, Holding]
    roots: Roots
    rain: Rain
    scarce: Scarce
    assumed: Assumed


@cache
def water_figures() -> WaterFigures:
    """Return the figures that are shipped. A fault in them is a fault of ours, and ends in an exception."""
    return read_figures(WaterFigures, _FILE)
