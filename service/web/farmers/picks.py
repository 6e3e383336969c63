"""What a plot has borne, as figures for the page: totals, weeks, and the list of weights."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from service.agronomy.calendar import WEEK
from service.core.model import HarvestState
from service.db.queries.console_values import Weight
from service.web.farmers.season import Bar, scale

WEEKS: Final = 26
FEWEST_WEEKS: Final = 8
# How much of its place a week's bar fills.
_FILLED: Final = 0.8
_YEAR: Final = timedelta(days=365)


@dataclass(frozen=True, kw_only=True, slots=True)
class WeekPicked:
    """The weight of one week from its Monday on. `x`, `width` and `height` are percent of the drawing."""

    monday: date
    grams: int
    x: float
    width: float
    height: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Picks:
    """All that was picked from one plot.

    Attributes:
        weights: every weight told, the latest picking first, those taken back included.
        total: grams that count, since the first pick.
        last_year: grams that count in the twelve months that end today.
        per_plant: grams a plant since the first pick, rounded.
        first_on: the day of the first pick that counts and is above zero.
        weeks: up to half a year by weeks, the week of today last; empty before the first pick.
        best_week: grams of the best of these weeks.
        came: grams among the total that a collection weighed and the farmer did not tell.
        held: grams among the total that were picked under a hold, after a spray.
        on_strip: weekly weights by the plot's age, for the season strip.
    """

    weights: tuple[Weight, ...]
    total: int
    last_year: int
    per_plant: int
    first_on: date | None
    weeks: tuple[WeekPicked, ...]
    best_week: int
    came: int
    held: int
    on_strip: tuple[Bar, ...]


def add_up(
    weights: tuple[Weight, ...],
    *,
    brought: Sequence[Weight] = (),
    plants: int,
    planted_on: date,
    today: date,
) -> Picks:
    """Add up a plot's weights; only those that count enter a total, and beside them what was `brought` untold."""
    told = [weight for weight in weights if weight.state == HarvestState.COUNTED and weight.grams > 0]
    counted = [*told, *brought]
    total = sum(weight.grams for weight in counted)
    weeks = _weeks(counted, today) if counted else ()
    return Picks(
        weights=weights,
        total=total,
        last_year=sum(weight.grams for weight in counted if weight.picked_on > today - _YEAR),
        per_plant=round(total / plants),
        first_on=min((weight.picked_on for weight in counted), default=None),
        weeks=weeks,
        best_week=max((week.grams for week in weeks), default=0),
        came=sum(weight.grams for weight in brought),
        held=sum(weight.grams for weight in counted if weight.in_hold),
        on_strip=_on_strip(counted, planted_on),
    )


def _weeks(counted: Sequence[Weight], today: date) -> tuple[WeekPicked, ...]:
    this_monday = today - timedelta(days=today.weekday())
    since_first = (this_monday - min(weight.picked_on for weight in counted)).days // WEEK + 2
    shown = min(max(since_first, FEWEST_WEEKS), WEEKS)
    mondays = [this_monday - timedelta(days=WEEK * back) for back in reversed(range(shown))]
    grams = dict.fromkeys(mondays, 0)
    for weight in counted:
        monday = weight.picked_on - timedelta(days=weight.picked_on.weekday())
        if monday in grams:
            grams[monday] += weight.grams
    best = max(grams.values()) or 1
    return tuple(
        WeekPicked(
            monday=monday,
            grams=grams[monday],
            x=round(100 * place / shown, 2),
            width=round(_FILLED * 100 / shown, 2),
            height=round(100 * grams[monday] / best, 1),
        )
        for place, monday in enumerate(mondays)
    )


def _on_strip(counted: Sequence[Weight], planted_on: date) -> tuple[Bar, ...]:
    by_week: dict[int, int] = {}
    for weight in counted:
        age = (weight.picked_on - planted_on).days
        by_week[age - age % WEEK] = by_week.get(age - age % WEEK, 0) + weight.grams
    return scale(by_week)
