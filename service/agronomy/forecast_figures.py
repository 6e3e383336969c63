"""The figures of forecasts."""

from pathlib import Path
from typing import Annotated, Final, Self

from pydantic import Field, model_validator
from pydantic.dataclasses import dataclass as checked

from service.agronomy.figures import DATA, STRICT, Source, read_figures

DEFAULT_FORECAST: Final = DATA / "forecast.toml"

_Share = Annotated[float, Field(gt=0, le=3)]


@checked(frozen=True, kw_only=True, config=STRICT)
class HistoryFigures:
    """How many weeks a forecast looks back, and how many it needs."""

    weeks: Annotated[int, Field(ge=4, le=26)]
    least_weeks: Annotated[int, Field(ge=2)]
    source: Source

    @model_validator(mode="after")
    def _enough(self) -> Self:
        if self.least_weeks > self.weeks:
            raise ValueError("it must not need more weeks than it looks back")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class LevelFigures:
    """How the level of a district moves, see `service.agronomy.forecast_smoothing`."""

    newest: Annotated[float, Field(gt=0, le=1)]
    stays: Annotated[float, Field(gt=0, le=1)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class PickFigures:
    """For how many days a weight may stand."""

    usual_days: Annotated[int, Field(ge=1)]
    longest_days: Annotated[int, Field(le=14)]
    source: Source

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.longest_days < self.usual_days:
            raise ValueError("the most days must not be fewer than the usual ones")
        return self


@checked(frozen=True, kw_only=True, config=STRICT)
class PaceFigures:
    """How many weeks of a plot are seen as one."""

    weeks_at_once: Annotated[int, Field(ge=1, le=13)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class SpreadFigures:
    """How far weeks are taken to lie off before they have shown it, as shares of the level."""

    common: _Share
    alone: _Share
    as_weeks: Annotated[int, Field(ge=1, le=26)]
    source: Source


@checked(frozen=True, kw_only=True, config=STRICT)
class ForecastFigures:
    """All figures of `data/forecast.toml`."""

    history: HistoryFigures
    level: LevelFigures
    picks: PickFigures
    pace: PaceFigures
    spread: SpreadFigures

    @property
    def days(self) -> int:
        """Of how many days a forecast is to know the weights: its weeks, and what leads into the first of them."""
        return 7 * self.history.weeks + self.picks.usual_days


def load_forecast(path: Path = DEFAULT_FORECAST) -> ForecastFigures:
    """Read the figures of forecasts.

    Raises:
        FiguresError: the file cannot be used.
    """
    return read_figures(ForecastFigures, path)
