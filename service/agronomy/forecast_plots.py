"""One plot before a forecast: what it told week by week, and what its plants were expected to bear.

A day without a weight is no day without fruit: only "nothing ripe", a weight of zero, says that. A weight stands for
the fruit that ripened since the weight before. Where more time has passed than between two picks, either a pick was
missed, and the weight is as large as all these days make it, or a pick was not told, and it is as large as any other:
the plot's own usual pace decides. Days for which no weight stands are not known, and count for nothing.
"""

import statistics
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache, partial
from typing import Final, NamedTuple, Self

from service.agronomy.forecast_figures import PickFigures
from service.agronomy.yield_curve import share_at
from service.agronomy.yield_figures import YieldFigures

WEEK: Final = 7
WEEKS_AHEAD: Final = 2
_DAYS_A_YEAR: Final = 365
# Fewer weights say nothing of what is usual.
_LEAST_USUAL: Final = 3


class Pick(NamedTuple):
    """What was told of one day, all its weights together; 0 grams where nothing was ripe."""

    on: date
    grams: int


@dataclass(frozen=True, kw_only=True, slots=True)
class BearingPlot:
    """A plot that bears, is about to, or bore.

    Attributes:
        first_fruit_on: from when on ripe fruit may be expected.
        ends_on: the day from which nothing is expected any more.
        plants: how many stand.
        picks: what was told, by day; those of a week before the window help to read its first ones.
    """

    first_fruit_on: date
    ends_on: date
    plants: int
    picks: Sequence[Pick]

    def between(self, since: date, until: date) -> Self:
        """Return the plot as it was known before the day `until`, by what was told from the day `since` on."""
        begin, end = (bisect_left(self.picks, day, key=_day) for day in (since, until))
        return replace(self, picks=self.picks[begin:end])


def _day(pick: Pick) -> date:
    return pick.on


class Window:
    """The weeks that are known, and the two that are forecast from the day `first` on."""

    def __init__(self, first: date, weeks: int, yields: YieldFigures) -> None:
        """Look back `weeks` weeks from `first`, and expect of a plant what the figures say."""
        self.first = first
        self.weeks = weeks
        self.begins = first - timedelta(days=WEEK * weeks)
        self._days = WEEK * (weeks + WEEKS_AHEAD)
        a_day = yields.year.grams[1] / _DAYS_A_YEAR
        self._pace = [
            a_day * yields.season.months[(self.begins + timedelta(days=day)).month - 1]
            for day in range(self._days)
        ]
        self._shares = cache(partial(share_at, yields))
        self._sums: dict[tuple[date, date], list[float]] = {}

    def added_up(self, first_fruit_on: date, ends_on: date) -> list[float]:
        """Return what one plant is expected to bear, in grams, before each day of the window and at its end.

        Many plots are of one age, and this is reckoned once for all of them.
        """
        key = first_fruit_on, ends_on
        if key not in self._sums:
            age, end = (self.begins - first_fruit_on).days, (ends_on - self.begins).days
            sums = [0.0]
            for day, pace in enumerate(self._pace):
                bears = self._shares(age + day) * pace if day < end else 0.0
                sums.append(sums[-1] + bears)
            self._sums[key] = sums
        return self._sums[key]


class PlotWeeks(NamedTuple):
    """A plot's weeks, in grams.

    Attributes:
        told: by the day of picking; None where no weight was told, not even of nothing.
        covered: the same spread over the days for which it stands.
        expected_covered: what was expected of these days.
        expected: what was or is expected of all days, those to come included.
    """

    told: list[int | None]
    covered: list[float]
    expected_covered: list[float]
    expected: list[float]


def weeks_of(plot: BearingPlot, window: Window, figures: PickFigures) -> PlotWeeks:
    """Return the weeks of a plot."""
    sums = window.added_up(plot.first_fruit_on, plot.ends_on)
    plants, weeks = plot.plants, window.weeks
    told: list[int | None] = [None] * weeks
    covered, expected_covered = [0.0] * weeks, [0.0] * weeks
    for last, days, grams in _spans(plot.picks, window.begins, figures):
        if last < 0:
            continue
        week = last // WEEK
        told[week] = (told[week] or 0) + grams
        a_day, begin = grams / days, max(0, last - days + 1)
        while begin <= last:
            week = begin // WEEK
            end = min(last + 1, (week + 1) * WEEK)
            covered[week] += a_day * (end - begin)
            expected_covered[week] += plants * (sums[end] - sums[begin])
            begin = end
    expected = [plants * (sums[WEEK * (week + 1)] - sums[WEEK * week]) for week in range(weeks + WEEKS_AHEAD)]
    return PlotWeeks(told, covered, expected_covered, expected)


def _spans(picks: Sequence[Pick], begins: date, figures: PickFigures) -> Iterator[tuple[int, int, int]]:
    """Yield for each weight its day, counted from the window's first, for how many days it stands, and its grams."""
    days = [(on - begins).days for on, _ in picks]
    usual, longest = figures.usual_days, figures.longest_days
    ordinary = [
        grams / (day - before)
        for before, day, (_, grams) in zip(days, days[1:], picks[1:], strict=False)
        if day - before <= usual
    ]
    pace = statistics.median(ordinary) if len(ordinary) >= _LEAST_USUAL else None
    before = None
    for day, (_, grams) in zip(days, picks, strict=True):
        gap = usual if before is None else min(day - before, longest)
        # Nearer, as a ratio, to the fruit of the usual days than of the whole gap: the geometric mean parts them.
        if pace is not None and gap > usual and grams**2 < pace**2 * usual * gap:
            gap = usual
        yield day, gap, grams
        before = day
