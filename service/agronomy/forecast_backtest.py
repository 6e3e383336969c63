"""How good the forecast would have been: made again as of past days, and held against what was told afterwards.

Beside it stand two forecasts that need no knowledge of plants. "Last week again" is the seasonal naive one of a week:
every weekday brings what it brought last, as few programmes have told weights for the years that a naive forecast by
the year needs. "Mean of four weeks" is a moving average.

MASE is that of Hyndman and Koehler (2006, International Journal of Forecasting 22: 679-688; from memory): the mean
absolute error, by that of repeating the week before in the weeks up to the first trial.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from service.agronomy.forecast import Range, forecast
from service.agronomy.forecast_figures import ForecastFigures
from service.agronomy.forecast_plots import WEEK, WEEKS_AHEAD, BearingPlot
from service.agronomy.yield_figures import YieldFigures

_FOUR_WEEKS: Final = 4


def _last(known: Sequence[int]) -> float:
    return known[-1]


def _mean_of_four(known: Sequence[int]) -> float:
    newest = known[-_FOUR_WEEKS:]
    return sum(newest) / len(newest)


OURS: Final = "forecast"
LAST_WEEK: Final = "last_week_again"
FOUR_WEEKS: Final = "mean_of_four_weeks"
# Each forecasts every week to come alike, from the weeks known so far.
PLAIN: Final[Mapping[str, Callable[[Sequence[int]], float]]] = MappingProxyType(
    {LAST_WEEK: _last, FOUR_WEEKS: _mean_of_four}
)


@dataclass(frozen=True, kw_only=True, slots=True)
class TriedWeek:
    """A week that was forecast afterwards.

    Attributes:
        first: its first day.
        ahead: 1 for the first week after the day of the forecast, 2 for the second.
        told: grams that were told.
        range: what was forecast.
        plain: what the plain forecasts said, by their names.
    """

    first: date
    ahead: int
    told: int
    range: Range
    plain: Mapping[str, float]

    @property
    def inside(self) -> bool:
        """Whether what was told lay within the range."""
        return self.range.low <= self.told <= self.range.high


@dataclass(frozen=True, kw_only=True, slots=True)
class Backtest:
    """How good forecasts would have been.

    Attributes:
        weeks: all weeks tried; a week that followed two days of forecast is there twice.
        scale: how far one week lay from the next before the first trial, in grams; None where nothing moved.
    """

    weeks: tuple[TriedWeek, ...]
    scale: float | None

    @property
    def inside(self) -> int:
        """How many weeks lay within the range."""
        return sum(week.inside for week in self.weeks)

    def off(self, method: str) -> float:
        """Return by how many grams a week a method was off on average."""
        errors = [
            abs(week.told - (week.range.expected if method == OURS else week.plain[method]))
            for week in self.weeks
        ]
        return sum(errors) / len(errors)

    def scaled(self, method: str) -> float | None:
        """Return the same as MASE; None where there is no scale."""
        return self.off(method) / self.scale if self.scale else None


def backtest(
    figures: ForecastFigures,
    yields: YieldFigures,
    plots: Sequence[BearingPlot],
    first: date,
    trials: int,
) -> Backtest | None:
    """Try the forecast at the beginnings of past weeks, `trials` of them at most; None where none can be tried.

    `first` is the day from which on nothing is known. A week in which nobody told anything is no week without fruit,
    and is left out. Weights count by the day of picking: one that was told days later is known to a trial too soon.
    """
    weeks = figures.history.weeks + trials + WEEKS_AHEAD - 1
    begins = first - timedelta(days=WEEK * weeks)
    told = _weekly(plots, begins, weeks)
    tried: list[TriedWeek] = []
    scale: float | None = None
    for week in range(weeks - WEEKS_AHEAD - trials + 1, weeks - WEEKS_AHEAD + 1):
        on = begins + timedelta(days=WEEK * week)
        known = [grams for grams in told[:week] if grams is not None]
        since = on - timedelta(days=figures.days)
        made = forecast(figures, yields, [plot.between(since, on) for plot in plots], on)
        if made is None:
            continue
        if not tried:
            scale = _moved(known)
        for ahead, range_ in enumerate(made.weeks):
            grams = told[week + ahead]
            if grams is not None:
                tried.append(
                    TriedWeek(
                        first=on + timedelta(days=WEEK * ahead),
                        ahead=ahead + 1,
                        told=grams,
                        range=range_,
                        plain={name: plain(known) for name, plain in PLAIN.items()},
                    )
                )
    return Backtest(weeks=tuple(tried), scale=scale) if tried else None


def _weekly(plots: Sequence[BearingPlot], begins: date, weeks: int) -> list[int | None]:
    sums: list[int | None] = [None] * weeks
    for plot in plots:
        for on, grams in plot.picks:
            week = (on - begins).days // WEEK
            if 0 <= week < weeks:
                sums[week] = (sums[week] or 0) + grams
    return sums


def _moved(known: Sequence[int]) -> float | None:
    steps = [abs(later - earlier) for earlier, later in pairwise(known)]
    return sum(steps) / len(steps) if steps else None
