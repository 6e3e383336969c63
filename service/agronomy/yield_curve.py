"""What a stand of some age bears in a season, to compare a farmer's weights with.

The pace of a day, in grams a plant, is a full year's share, times what the age of the stand allows, times the
month. Age counts from the first day on which ripe fruit may be expected (`Calendar.first_fruit_between`). The
result is always a range. It is for officers to see who needs help, and promises nobody a yield.
"""

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final

from service.agronomy.figures import possible
from service.agronomy.yield_figures import YieldFigures
from service.core.errors import Refused

_DAYS_A_YEAR: Final = 365
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Weight:
    """A weight that counts: the day it was picked and its grams."""

    picked_on: date
    grams: int

    def __post_init__(self) -> None:
        """Refuse what no pick weighs."""
        possible("A weight", self.grams, 0, 10**9, "grams")


@dataclass(frozen=True, kw_only=True, slots=True)
class Bearing:
    """A stand that bears: from when on ripe fruit may be expected, and how many plants stand."""

    first_fruit_on: date
    plants: int

    def __post_init__(self) -> None:
        """Refuse a stand of less than one plant."""
        possible("The number of plants", self.plants, 1, 100_000_000, "plants")


@dataclass(frozen=True, kw_only=True, slots=True)
class Expected:
    """Grams expected from a stand over some days, as a range, and what one plant of it bears typically."""

    low: int
    typical: int
    high: int
    grams_a_plant: float


class Against(StrEnum):
    """How a farmer's weights lie to the expected range."""

    BELOW = "below"
    WITHIN = "within"
    ABOVE = "above"


@dataclass(frozen=True, kw_only=True, slots=True)
class Pace:
    """A farmer's own pace, from the first weight to a day.

    Attributes:
        since: the day of the first weight.
        grams: all weights since then.
        grams_a_plant: the same for one plant.
        expected: what the stand was expected to bear in that time.
        percent: own weights in percent of the typical ones; None where none were expected.
        against: where they lie to the range.
    """

    since: date
    grams: int
    grams_a_plant: float
    expected: Expected
    percent: float | None
    against: Against


class FirstWeight(StrEnum):
    """What a first weight says of the planting date."""

    IN_TIME = "in_time"
    FLOWERS_LEFT = "flowers_left"
    """Earlier than expected: flowers were left on, which an officer should know."""
    DATE_DOUBTFUL = "date_doubtful"
    """No flower can have ripened since the planting date: ask for the date again."""


def share_at(figures: YieldFigures, days_since_first_fruit: int) -> float:
    """Return the share of the full pace at an age; nothing before first fruit, the last share after the end."""
    points = figures.age.points
    right = bisect_right(points, days_since_first_fruit, key=lambda point: point[0])
    if right == 0:
        return 0.0
    if right == len(points):
        return points[-1][1]
    (day, share), (next_day, next_share) = points[right - 1], points[right]
    return share + (next_share - share) * (days_since_first_fruit - day) / (next_day - day)


def expected(figures: YieldFigures, stand: Bearing, first: date, last: date) -> Expected:
    """Return what a stand is expected to bear from `first` to `last`, both included.

    Raises:
        Refused: the days are the wrong way round, or more than ten years apart.
    """
    days = (last - first).days + 1
    possible("The days of a yield", days, 1, 10 * _DAYS_A_YEAR, "days")
    shares = sum(
        share_at(figures, (day - stand.first_fruit_on).days) * figures.season.months[day.month - 1]
        for day in (first + timedelta(days=after) for after in range(days))
    )
    low, typical, high = (grams * shares / _DAYS_A_YEAR for grams in figures.year.grams)
    return Expected(
        low=round(low * stand.plants),
        typical=round(typical * stand.plants),
        high=round(high * stand.plants),
        grams_a_plant=typical,
    )


def own_pace(figures: YieldFigures, stand: Bearing, weights: Sequence[Weight], until: date) -> Pace | None:
    """Compare a farmer's weights up to a day with what was expected since the first; None while they are too few.

    Weights from before the expected first fruit do not count, as there is nothing to compare them with.
    """
    counted = [weight for weight in weights if stand.first_fruit_on <= weight.picked_on <= until]
    since = min((weight.picked_on for weight in counted), default=until)
    too_short = (until - since).days + 1 < figures.pace.least_days
    if too_short or len(counted) < figures.pace.least_weights:
        return None
    grams = sum(weight.grams for weight in counted)
    range_ = expected(figures, stand, since, until)
    return Pace(
        since=since,
        grams=grams,
        grams_a_plant=grams / stand.plants,
        expected=range_,
        percent=100 * grams / range_.typical if range_.typical else None,
        against=_against(grams, range_),
    )


def picks_missed(
    picked_on: Iterable[date], pick_days: Collection[int], first: date, last: date
) -> tuple[date, ...]:
    """Return the picking days from `first` to `last` without a weight, a day sooner or later counting as well.

    `pick_days` are weekdays from Monday, 0. One weight stands for one picking day only.

    Raises:
        Refused: the days are the wrong way round.
    """
    if last < first:
        raise Refused("The last day lies before the first: name them the other way round.")
    days = (first + timedelta(days=after) for after in range((last - first).days + 1))
    return days_missed(picked_on, (day for day in days if day.weekday() in pick_days))


def days_missed(picked_on: Iterable[date], days: Iterable[date]) -> tuple[date, ...]:
    """Return those of these picking days, the earliest first, that have no weight; see `picks_missed`."""
    weights = sorted(set(picked_on))
    missed = []
    for day in days:
        near = next((weight for weight in weights if day - _DAY <= weight <= day + _DAY), None)
        if near is None:
            missed.append(day)
        else:
            weights.remove(near)
    return tuple(missed)


def judge_first_weight(
    figures: YieldFigures, planted_on: date, first_fruit_on: date, picked_on: date
) -> FirstWeight:
    """Say whether a stand can bear already, and whether it was meant to."""
    if picked_on >= first_fruit_on:
        return FirstWeight.IN_TIME
    ripe = (picked_on - planted_on).days >= figures.early.flower_to_fruit_days
    return FirstWeight.FLOWERS_LEFT if ripe else FirstWeight.DATE_DOUBTFUL


def _against(grams: int, range_: Expected) -> Against:
    if grams < range_.low:
        return Against.BELOW
    return Against.ABOVE if grams > range_.high else Against.WITHIN
