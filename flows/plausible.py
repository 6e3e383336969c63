"""Whether a weight can be right: judged by the plants there are and by what they have borne before.

Nothing is refused. A weight that may be a slip of the finger is kept in question until the farmer says yes.
Thresholds are common practice, no source, but for the scale they rest on: 500 to 750 g a plant and season,
picked every two or three days, is some 10 to 20 g a plant and pick (Queensland DAF, strawberry questions and
answers, from memory), with a peak of three or four times that.
"""

from dataclasses import dataclass
from enum import StrEnum

from flows.facts import Weights

UNUSUAL_PER_PLANT = 60
SLIP_PER_PLANT = 150
OWN_FACTOR = 4
# Less than one small berry; a weight so small is grams typed for kilos.
SMALLEST = 10


class Doubt(StrEnum):
    """Why a weight is asked about."""

    NONE = "none"
    ZERO = "zero"
    UNUSUAL = "unusual"
    SLIP = "slip"
    UNIT = "unit"


@dataclass(frozen=True, kw_only=True, slots=True)
class Verdict:
    """What is thought of a weight.

    Attributes:
        doubt: why it is asked about, or NONE.
        instead: other weights in grams that the farmer may have meant, likeliest first.
    """

    doubt: Doubt
    instead: tuple[int, ...] = ()


def judge(grams: int, plants: int, weights: Weights) -> Verdict:
    """Judge a weight of `grams` from `plants` plants that have borne `weights` so far."""
    if grams == 0:
        return Verdict(doubt=Doubt.ZERO)
    if grams > SLIP_PER_PLANT * plants:
        slips = tuple(
            smaller
            for smaller in (grams // 10, grams // 100)
            if SMALLEST <= smaller <= UNUSUAL_PER_PLANT * plants
        )
        return Verdict(doubt=Doubt.SLIP if slips else Doubt.UNUSUAL, instead=slips)
    if grams > UNUSUAL_PER_PLANT * plants:
        return Verdict(doubt=Doubt.UNUSUAL)
    if grams < SMALLEST:
        return Verdict(doubt=Doubt.UNIT, instead=(grams * 1000,))
    if (
        weights.median is not None
        and not weights.median <= grams * OWN_FACTOR <= weights.median * OWN_FACTOR**2
    ):
        return Verdict(doubt=Doubt.UNUSUAL)
    return Verdict(doubt=Doubt.NONE)
