"""How a plot's weights lie to what is usual, in sentences for whoever looks after the farmer.

What is usual is a working range that nobody has verified (`service/agronomy/data/yield.toml`): it says whom to ask, and
blames nobody.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import cache
from typing import Final

from service.agronomy.calendar import WEEK
from service.agronomy.yield_curve import (
    Bearing,
    FirstWeight,
    days_missed,
    expected,
    judge_first_weight,
)
from service.agronomy.yield_figures import YieldFigures, load_yield
from service.core.collecting import Collection
from service.core.model import HarvestState
from service.db.queries.console_values import PlotFacts, Weight
from service.use_cases.collecting.shown import is_picked_on
from service.web.words import counted, full_day

_WEEKS: Final = 4
_SPAN: Final = timedelta(days=WEEK * _WEEKS - 1)
_DAY: Final = timedelta(days=1)
_FIRST: Final = {
    FirstWeight.IN_TIME: "",
    FirstWeight.FLOWERS_LEFT: "The first weight, of {on}, came {sooner} sooner than expected: flowers were left on.",
    FirstWeight.DATE_DOUBTFUL: (
        "The first weight is of {on}, when no flower set after planting can have ripened: "
        "ask for the planting date again."
    ),
}
_figures: Final = cache(load_yield)


def sentences(
    weights: Sequence[Weight],
    plot: PlotFacts,
    first_fruit_on: date,
    today: date,
    collection: Collection | None = None,
) -> tuple[str, ...]:
    """Return what is to be said of the last four weeks, of missed picks, and of a first weight that came early.

    Since the `collection` that a plot follows began, its days are the picking days.
    """
    told = [one for one in weights if one.state == HarvestState.COUNTED]
    borne = [one.picked_on for one in told if one.grams > 0]
    if not borne:
        return ()
    found = (
        *_last_weeks(_figures(), told, plot, first_fruit_on, today),
        *_missed(told, plot, max(first_fruit_on, min(borne)), today, collection),
        _first(_figures(), min(borne), plot.planted_on, first_fruit_on),
    )
    return tuple(filter(None, found))


def _last_weeks(
    figures: YieldFigures, told: Sequence[Weight], plot: PlotFacts, first_fruit_on: date, today: date
) -> Iterator[str]:
    since = today - _SPAN
    # From the first weight on it takes so many weeks until there are four to speak of.
    if min(one.picked_on for one in told) > since:
        return
    usual = expected(figures, Bearing(first_fruit_on=first_fruit_on, plants=plot.plants), since, today)
    if not usual.high:
        return
    grams = sum(one.grams for one in told if since <= one.picked_on <= today)
    own, low, high = (round(one / plot.plants) for one in (grams, usual.low, usual.high))
    yield (
        f"{own:,} g a plant in the last {_WEEKS} weeks; usual at this age are {low:,} to {high:,} g in {_WEEKS} weeks "
        "on average, more in a flush and less between two. Far above it ask whether a weight was told twice or there "
        "are more plants than noted; far below, whether every pick was told. It is a working range and promises nothing."
    )


def _missed(
    told: Sequence[Weight], plot: PlotFacts, begins: date, today: date, collection: Collection | None
) -> Iterator[str]:
    """Yield how many picking days were missed; yesterday's pick may still be told today."""
    first, last = max(today - _SPAN, begins), today - 2 * _DAY
    days = list(_picking_days(plot, collection, first, last))
    missed = days_missed((one.picked_on for one in told), days)
    if missed:
        yield (
            f"No weight for {len(missed)} of {counted(len(days), 'picking day')} since {full_day(first)}: "
            "not picked, or not told."
        )


def _picking_days(plot: PlotFacts, collection: Collection | None, first: date, last: date) -> Iterator[date]:
    for day in (first + place * _DAY for place in range((last - first).days + 1)):
        if collection is None or day < collection.first_on:
            picked = bool(plot.pick_days >> day.weekday() & 1)
        else:
            picked = is_picked_on(day, plot.pick_days, collection)
        if picked:
            yield day


def _first(figures: YieldFigures, on: date, planted_on: date, first_fruit_on: date) -> str:
    found = judge_first_weight(figures, planted_on, first_fruit_on, on)
    return _FIRST[found].format(on=full_day(on), sooner=counted((first_fruit_on - on).days, "day"))
