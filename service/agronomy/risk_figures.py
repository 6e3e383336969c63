"""The figures of risks, and what makes no sense among them."""

from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Final, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator
from pydantic.dataclasses import dataclass as checked

from service.agronomy.figures import DATA, STRICT, Source, read_figures
from service.agronomy.risk import Hazard, Level, Stage

DEFAULT_RISK: Final = DATA / "risk.toml"


def _rising(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] > pair[1]:
        raise ValueError("the lower one comes first")
    return pair


def _level(word: Any) -> Any:  # noqa: ANN401 - a file may hold anything here
    """Read a level by its name, in small letters."""
    names = {level.name.lower(): level for level in (Level.WATCH, Level.HIGH, Level.SEVERE)}
    if word not in names:
        raise ValueError(f"a level is one of {', '.join(names)}")
    return names[word]


_Between = Annotated[tuple[float, float], AfterValidator(_rising)]


@checked(frozen=True, kw_only=True, config=STRICT)
class FrostStage:
    """The temperature in °C at which a stage is hurt."""

    stage: Stage
    critical_c: float
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Frost:
    """Forecast minima that call for watching and for covering where flowers are open, and all stages."""

    watch_c: float
    act_c: float
    stages: tuple[FrostStage, ...]
    source: Source

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        if {row.stage for row in self.stages} != set(Stage):
            raise ValueError("each stage needs its temperature")
        if not self.watch_c >= self.act_c >= self.critical_c(Stage.OPEN):
            raise ValueError("watching comes before acting, and acting before open flowers are hurt")
        return self

    def critical_c(self, stage: Stage) -> float:
        """Return the temperature at which a stage is hurt."""
        return next(row.critical_c for row in self.stages if row.stage is stage)


@checked(frozen=True, kw_only=True, config=STRICT)
class Altitude:
    """How much colder it is higher up, and how high the bands are into which plots are put."""

    colder_c_per_1000_m: Annotated[float, Field(ge=0, le=15)]
    band_m: Annotated[int, Field(ge=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Heat:
    """How hot for how many days, in which weeks it shows, and from which heat one day is enough."""

    max_c: float
    days: Annotated[int, Field(ge=1)]
    effect_weeks: tuple[Annotated[int, Field(ge=0)], Annotated[int, Field(ge=0)]]
    extreme_c: float
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Rain:
    """Rain of a day that calls for watching, and for acting."""

    watch_mm: Annotated[float, Field(gt=0)]
    act_mm: Annotated[float, Field(gt=0)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Wetness:
    """The humidity from which leaves count as wet."""

    humidity_percent: Annotated[float, Field(ge=0, le=100)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class WetDay:
    """The rain or humidity of a day that stands in for wet hours."""

    rain_mm: Annotated[float, Field(ge=0)]
    humidity_percent: Annotated[float, Field(ge=0, le=100)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class WetStep:
    """The wet hours within some temperatures that make a level."""

    level: Annotated[Level, BeforeValidator(_level)]
    hours: Annotated[int, Field(ge=1)]
    between_c: _Between


@checked(frozen=True, kw_only=True, config=STRICT)
class WetDisease:
    """A disease that wet leaves bring: the stage it needs, what was tested, its steps from low to high."""

    hazard: Hazard
    needs: Stage
    tested_c: _Between
    steps: Annotated[tuple[WetStep, ...], Field(min_length=1)]
    source: Source

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.steps[0].level is not Level.WATCH:
            raise ValueError("the first step is watch")
        for lower, higher in pairwise(self.steps):
            if lower.level >= higher.level or lower.hours > higher.hours:
                raise ValueError("levels and hours of the steps must rise")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class Mildew:
    """What days mildew likes, and how many of them one after the other."""

    between_c: _Between
    humidity_percent: _Between
    rain_below_mm: float
    days: Annotated[int, Field(ge=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class Scouting:
    """How replies of a village are compared, and how few say nothing."""

    apart_days: Annotated[int, Field(ge=1)]
    window_days: Annotated[int, Field(ge=1)]
    times: Annotated[int, Field(ge=2)]
    least_replies: Annotated[int, Field(ge=1)]
    least_found: Annotated[int, Field(ge=1)]
    source: Source

    @model_validator(mode="after")
    def _does_not_overlap(self) -> Self:
        if self.window_days > self.apart_days:
            raise ValueError("the two windows may not overlap")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class RiskFigures:
    """All figures of `data/risk.toml`."""

    frost: Frost
    altitude: Altitude
    heat: Heat
    rain: Rain
    wetness: Wetness
    wet_day: WetDay
    wet_diseases: tuple[WetDisease, ...]
    mildew: Mildew
    scouting: Scouting

    @model_validator(mode="after")
    def _knows_both(self) -> Self:
        if sorted(row.hazard for row in self.wet_diseases) != [Hazard.ANTHRACNOSE, Hazard.GREY_MOULD]:
            raise ValueError("wet_diseases are grey_mould and anthracnose, once each")
        return self

    def wet_disease(self, hazard: Hazard) -> WetDisease:
        """Return the figures of a disease that wet leaves bring."""
        return next(row for row in self.wet_diseases if row.hazard is hazard)


def load_risk(path: Path = DEFAULT_RISK) -> RiskFigures:
    """Read the figures of risks.

    Raises:
        FiguresError: the file cannot be used.
    """
    return read_figures(RiskFigures, path)
