"""Plants that are missing: seedlings to order, and gaps."""

from dataclasses import dataclass
from typing import Final

from service.agronomy.figures import possible
from service.agronomy.stand import StandFigures

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
