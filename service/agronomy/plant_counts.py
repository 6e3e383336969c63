"""How many plants stand today: seedlings to order, gaps, and the recount every four months.

The newest count is the number of plants that every later figure rests on: weights a plant, water, money. A
count is never carried back to days before it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from service.agronomy.figures import possible
from service.agronomy.stand import StandFigures
from service.core.errors import Refused

_MOST_PLANTS: Final = 100_000_000


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """Seedlings to order: how many, for how many plants, and the losses reckoned with in percent.

    `loss_assumed` tells that nobody named the losses and the usual share was taken.
    """

    seedlings: int
    plants: int
    loss_percent: int
    loss_assumed: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Gaps:
    """What is missing in a stand.

    Attributes:
        missing: plants that do not stand any more.
        percent: their share of what was planted.
        refill: whether the stand is young enough to fill them; older gaps wait for the renewal.
        order: seedlings to order for them, None when they are not filled.
    """

    missing: int
    percent: float
    refill: bool
    order: Order | None


@dataclass(frozen=True, kw_only=True, slots=True)
class PlantCount:
    """Plants standing on a day, as somebody counted them."""

    counted_on: date
    plants: int

    def __post_init__(self) -> None:
        """Refuse what nobody can count."""
        possible("The number of plants", self.plants, 0, _MOST_PLANTS, "plants")


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """The plants later figures rest on.

    Attributes:
        plants: how many.
        counted_on: the day of that count; the planting date when nobody has counted since.
        recount_on: the day on which the next count is due.
        overdue: whether that day has come; figures then rest on an old count and say so.
    """

    plants: int
    counted_on: date
    recount_on: date
    overdue: bool


def seedlings_to_order(figures: StandFigures, plants: int, loss_percent: int | None = None) -> Order:
    """Return the fewest seedlings of which `plants` are left after the losses.

    `loss_percent` None means that nobody told; the usual share is taken then.

    Raises:
        Refused: the number of plants or the share cannot be.
    """
    possible("The number of plants", plants, 0, _MOST_PLANTS, "plants")
    loss = figures.seedlings.loss_percent if loss_percent is None else loss_percent
    possible("The share of seedlings lost", loss, 0, 90, "percent")
    seedlings = -(-plants * 100 // (100 - loss))
    return Order(seedlings=seedlings, plants=plants, loss_percent=loss, loss_assumed=loss_percent is None)


def gaps_of(figures: StandFigures, planted: int, standing: int, age_days: int) -> Gaps:
    """Return what is missing of `planted` when `standing` are left at an age.

    Raises:
        Refused: nothing was planted, or more stand than were.
    """
    possible("The number of plants that were planted", planted, 1, _MOST_PLANTS, "plants")
    possible("The number of plants left", standing, 0, planted, "plants")
    missing = planted - standing
    refill = missing > 0 and age_days < figures.seedlings.replant_before_day
    return Gaps(
        missing=missing,
        percent=100 * missing / planted,
        refill=refill,
        order=seedlings_to_order(figures, missing) if refill else None,
    )


def plants_on_day(
    figures: StandFigures, planted: PlantCount, counts: Sequence[PlantCount], day: date
) -> Standing:
    """Return the plants that stand on `day`: the newest count up to it, or what was planted.

    Of two counts on one day the later in `counts` holds.

    Raises:
        Refused: the day lies before planting.
    """
    if day < planted.counted_on:
        raise Refused("Before the planting day no plants stand: name a later day.")
    known = (planted, *(count for count in counts if planted.counted_on <= count.counted_on <= day))
    newest = max(reversed(known), key=lambda count: count.counted_on)
    recount_on = newest.counted_on + timedelta(days=figures.recount.every_days)
    return Standing(
        plants=newest.plants,
        counted_on=newest.counted_on,
        recount_on=recount_on,
        overdue=day >= recount_on,
    )
