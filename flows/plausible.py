"""Whether a weight can be right: judged by the plants there are and by what they have borne before.

Nothing is refused. A weight that may be a slip of the finger is kept in question until the farmer says yes.
Thresholds are common practice, no source, but for the scale they rest on: 500 to 750 g a plant and season,
picked every two or three days, is some 10 to 20 g a plant and pick (Queensland DAF, strawberry questions and
answers, from memory), with a peak of three or four times that.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from flows.facts import Weights

UNUSUAL_PER_PLANT: Final = 60
SLIP_PER_PLANT: Final = 150
OWN_FACTOR: Final = 4
# A handful of berries: below it grams may have been typed for kilos.
HANDFUL: Final = 100
# Less than one small berry.
SMALLEST: Final = 10
# Days from planting before which no plant bears; common practice, no source.
YOUNGEST: Final = 45


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


def judge(grams: int, plants: int, weights: Weights, *, age: int) -> Verdict:
    """Judge a weight of `grams` from `plants` plants, `age` days old, that have borne `weights` so far.

    The age is less than nothing where the picking lies before the planting date.
    """
    if grams == 0:
        return Verdict(doubt=Doubt.ZERO)
    if grams > SLIP_PER_PLANT * plants:
        slips = tuple(smaller for smaller in (grams // 10, grams // 100) if _fits(smaller, plants))
        return Verdict(doubt=Doubt.SLIP if slips else Doubt.UNUSUAL, instead=slips)
    if grams < HANDFUL and _fits(grams * 1000, plants):
        return Verdict(doubt=Doubt.UNIT, instead=(grams * 1000,))
    odd = not _fits(grams, plants) or age < YOUNGEST or _unlike_before(grams, weights.median)
    return Verdict(doubt=Doubt.UNUSUAL if odd else Doubt.NONE)


def _fits(grams: int, plants: int) -> bool:
    """Return whether so many plants can bear that much in one picking."""
    return SMALLEST <= grams <= UNUSUAL_PER_PLANT * plants


def _unlike_before(grams: int, median: int | None) -> bool:
    return median is not None and not median <= grams * OWN_FACTOR <= median * OWN_FACTOR**2
