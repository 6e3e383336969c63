"""Asking whoever enters a delivery whether it is right, where it lies far from what was announced or is usual."""

from typing import Final

from flows.brought_doubts import FarOff, Known, far_off
from flows.wording import Grams
from service.core.collecting import Delivery
from service.core.errors import Unsure
from service.core.ports import Work

_BASKETS: Final = 5


def known_of(work: Work, new: Delivery) -> Known:
    """Return what is known of a farmer before their basket comes."""
    return Known(
        announced=work.estimates.of(new.farmer_id, new.day),
        baskets=work.deliveries.baskets(new.farmer_id, new.day, _BASKETS),
        plants=sum(plot.plants for plot in work.plots.of_farmer(new.farmer_id) if plot.closed_on is None),
    )


def ask_if_far_off(work: Work, new: Delivery) -> None:
    """Ask about a delivery that may be a slip.

    Raises:
        Unsure: with the two weights beside each other.
    """
    known = known_of(work, new)
    far = far_off(new.accepted_g, new.rejected_g, known, held=new.under_hold)
    if far is not None:
        raise Unsure(f"{_difference(far, new, known)}: is it right?", expected_g=known.expected)


def _difference(far: FarOff, new: Delivery, known: Known) -> str:
    came = f"{Grams(new.accepted_g + new.rejected_g)} kg"
    return {
        FarOff.ANNOUNCED: f"{came} from a farmer who announced {Grams(known.announced or 0)} kg",
        FarOff.USUAL: f"{came} from a farmer who usually brings about {Grams(known.usual or 0)} kg",
        FarOff.PLANTS: f"{came} from {known.plants} plants, which is more than plants bear at once",
        FarOff.NONE_ACCEPTED: f"{came} came and none of it is accepted",
    }[far]
