"""The kilos that the farmers of a district will tell in the next two weeks, as a range.

Each plot is expected to bear what its age and the month say (`service.agronomy.yield_curve`), times its own pace as far
as its weights are to be believed (`forecast_shrinkage`). What the district told, week by week, is held against the sum
of that; the ratio moves with weather, flushes and zeal, and is smoothed (`forecast_smoothing`). The weeks to come are
expected to lie between its last level and its mean.

The range comes from how far the sum of the district lay off from one week to the next. So it takes in whatever many
plots have in common, and nowhere are plots taken to err independently of each other.

Nothing of this is a promise, neither to a farmer nor to a buyer.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain
from typing import Final

from service.agronomy.forecast_figures import ForecastFigures, SpreadFigures
from service.agronomy.forecast_plots import WEEK, WEEKS_AHEAD, BearingPlot, PlotWeeks, Window, weeks_of
from service.agronomy.forecast_shrinkage import own, structure
from service.agronomy.forecast_smoothing import Memory, eight_in_ten, smooth, sum_error
from service.agronomy.yield_figures import YieldFigures

DAYS_AHEAD: Final = WEEK * WEEKS_AHEAD


@dataclass(frozen=True, kw_only=True, slots=True)
class Range:
    """Grams: what is expected, and between what they should lie eight times in ten."""

    low: float
    expected: float
    high: float


@dataclass(frozen=True, kw_only=True, slots=True)
class PastWeek:
    """A week that is over, from the day `first` on: grams told, by how many plots; none where nobody told any."""

    first: date
    told: int | None
    plots: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Forecast:
    """What a district will tell.

    Attributes:
        first: the first day of those forecast.
        past: the weeks that are known, the oldest first.
        weeks: the two weeks to come.
        all: both together.
        days: grams expected on each of the days, by the weekdays on which the district picked.
        picked: grams expected to be picked, told or not.
        paces: for each plot, in their order, how much it bears by what an average plot of its age bears at that time, 1
            being as much; and the share of this that rests on its own weights, 0 to 1.
    """

    first: date
    past: tuple[PastWeek, ...]
    weeks: tuple[Range, ...]
    all: Range
    days: tuple[float, ...]
    picked: float
    paces: tuple[tuple[float, float], ...]


def forecast(
    figures: ForecastFigures, yields: YieldFigures, plots: Sequence[BearingPlot], first: date
) -> Forecast | None:
    """Forecast the two weeks that begin with the day `first`; None where too few weeks were told to say anything."""
    window = Window(first, figures.history.weeks, yields)
    seen = [weeks_of(plot, window, figures.picks) for plot in plots]
    told = _told(seen, window.weeks)
    if sum(week is not None for week in told) < figures.history.least_weeks:
        return None
    paces = _paces(seen, window.weeks, figures.pace.weeks_at_once)
    base = _base(seen, paces, window.weeks + WEEKS_AHEAD)
    ratios = [
        None if week is None or not plain else week / plain for week, plain in zip(told, base, strict=False)
    ]
    memory = Memory(newest=figures.level.newest, stays=figures.level.stays)
    level = smooth(ratios, memory)
    if level is None:
        return None
    ahead = base[window.weeks :]
    tellers = sum(any(week is not None for week in plot.told) for plot in seen)
    apart = eight_in_ten(
        level.surprises, _before(figures.spread, tellers) * level.mean, figures.spread.as_weeks
    )
    expected = [level.ahead(memory, week + 1) * grams for week, grams in enumerate(ahead)]
    # The error of one week is that of a sum in which only that week counts.
    alone = ([0.0] * week + [grams] for week, grams in enumerate(ahead))
    weeks = tuple(
        _range(grams, apart * sum_error(parts, memory)) for grams, parts in zip(expected, alone, strict=True)
    )
    profile = _profile(plots, window)
    return Forecast(
        first=first,
        past=tuple(
            PastWeek(
                first=window.begins + timedelta(days=WEEK * week),
                told=grams,
                plots=sum(plot.told[week] is not None for plot in seen),
            )
            for week, grams in enumerate(told)
        ),
        weeks=weeks,
        all=_range(sum(expected), apart * sum_error(ahead, memory)),
        days=tuple(
            expected[day // WEEK] * profile[(first + timedelta(days=day)).weekday()]
            for day in range(DAYS_AHEAD)
        ),
        picked=max(sum(expected), _picked(seen, paces, memory, window.weeks, ahead)),
        paces=paces,
    )


def _told(seen: Iterable[PlotWeeks], weeks: int) -> list[int | None]:
    """Add up what was told by all; a week in which nobody told anything is not known."""
    sums: list[int | None] = [None] * weeks
    for plot in seen:
        for week, grams in enumerate(plot.told):
            if grams is not None:
                sums[week] = (sums[week] or 0) + grams
    return sums


def _paces(seen: Sequence[PlotWeeks], weeks: int, at_once: int) -> tuple[tuple[float, float], ...]:
    """Return each plot's pace by that of an average plot, and how far it rests on its own weights.

    What all plots had in common in a week is taken out of it first: who told weights in poor weeks only is not poor.
    """
    common = []
    for week in range(weeks):
        expected = sum(plot.expected_covered[week] for plot in seen)
        common.append(sum(plot.covered[week] for plot in seen) / expected if expected else 0.0)
    experiences = []
    for plot in seen:
        weights = [expected * all_ for expected, all_ in zip(plot.expected_covered, common, strict=True)]
        pairs = []
        for week in range(0, weeks, at_once):
            grams, weight = sum(plot.covered[week : week + at_once]), sum(weights[week : week + at_once])
            pairs.append((grams / weight if weight else 0.0, weight))
        experiences.append(own(pairs))
    there = [one for one in experiences if one is not None]
    if not there:
        return ((1.0, 0.0),) * len(seen)
    of_all = structure(there)
    return tuple((of_all.of(one), of_all.believed(one.weight) if one else 0.0) for one in experiences)


def _base(seen: Iterable[PlotWeeks], paces: Iterable[tuple[float, float]], weeks: int) -> list[float]:
    """Add up what is expected of each plot at its pace, week by week."""
    sums = [0.0] * weeks
    for plot, (pace, _) in zip(seen, paces, strict=True):
        for week, grams in enumerate(plot.expected):
            sums[week] += pace * grams
    return sums


def _picked(
    seen: Sequence[PlotWeeks],
    paces: Sequence[tuple[float, float]],
    memory: Memory,
    weeks: int,
    ahead: Sequence[float],
) -> float:
    """Return what is expected to be picked, by the level of the days that are known alone."""
    ratios: list[float | None] = []
    for week in range(weeks):
        expected = sum(
            pace * plot.expected_covered[week] for plot, (pace, _) in zip(seen, paces, strict=True)
        )
        ratios.append(sum(plot.covered[week] for plot in seen) / expected if expected else None)
    level = smooth(ratios, memory)
    return sum(level.ahead(memory, week + 1) * grams for week, grams in enumerate(ahead)) if level else 0.0


def _before(figures: SpreadFigures, tellers: int) -> float:
    """Return how far a week is taken to lie off before any was seen, as a share of the level."""
    alone = figures.alone**2 / max(1, tellers)
    return float((figures.common**2 + alone) ** 0.5)


def _range(expected: float, apart: float) -> Range:
    return Range(low=max(0.0, expected - apart), expected=expected, high=expected + apart)


def _profile(plots: Iterable[BearingPlot], window: Window) -> list[float]:
    """Return the share of a week's kilos by weekday, Monday first.

    One week spread evenly is counted in, so that no weekday is nothing.
    """
    sums = [0.0] * WEEK
    for on, grams in chain.from_iterable(plot.picks for plot in plots):
        if window.begins <= on < window.first:
            sums[on.weekday()] += grams
    total = sum(sums)
    if not total:
        return [1 / WEEK] * WEEK
    even = total / window.weeks / WEEK
    return [(grams + even) / (total + WEEK * even) for grams in sums]
