"""Whether what a clerk writes down of a farmer's fruit can be right: held against what was announced and is usual.

Nothing is refused: what lies far off is asked about, and kept as soon as the clerk says that it is right. Thresholds
are common practice, no source.
"""

from dataclasses import dataclass
from enum import StrEnum
from statistics import median
from typing import Final

from flows.plausible import OWN_FACTOR, UNUSUAL_PER_PLANT

# How many times more or less than announced is far off, and how many grams it has to be at least.
ANNOUNCED_FACTOR: Final = 3
LEAST_APART: Final = 3000
# So many baskets tell what a farmer usually brings.
LEAST_BASKETS: Final = 3


class FarOff(StrEnum):
    """What a weight is far off from."""

    ANNOUNCED = "announced"
    USUAL = "usual"
    PLANTS = "plants"
    NONE_ACCEPTED = "none_accepted"


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """What is known of a farmer before their basket comes.

    Attributes:
        announced: the grams they have said to bring, None where they have not said.
        baskets: the grams they brought lately, accepted or not.
        plants: how many they have.
    """

    announced: int | None
    baskets: tuple[int, ...]
    plants: int

    @property
    def usual(self) -> int | None:
        """The grams that they usually bring, None where too little is known."""
        return int(median(self.baskets)) if len(self.baskets) >= LEAST_BASKETS else None

    @property
    def expected(self) -> int:
        """The grams that are expected: as announced, as usual, or the most that plants bear at once."""
        if self.announced is not None:
            return self.announced
        return self.usual if self.usual is not None else UNUSUAL_PER_PLANT * self.plants


def far_off(accepted: int, rejected: int, known: Known, *, held: bool) -> FarOff | None:
    """Return what these grams are far off from, None where they can be right; `held` is fruit under a spray's hold."""
    came = accepted + rejected
    if known.announced is not None:
        if _apart(came, known.announced, ANNOUNCED_FACTOR):
            return FarOff.ANNOUNCED
    elif known.usual is not None and _apart(came, known.usual, OWN_FACTOR):
        return FarOff.USUAL
    if known.announced is None and known.usual is None and came > UNUSUAL_PER_PLANT * known.plants:
        return FarOff.PLANTS
    none_accepted = not accepted and rejected >= LEAST_APART and not held
    return FarOff.NONE_ACCEPTED if none_accepted else None


def _apart(grams: int, other: int, factor: int) -> bool:
    return abs(grams - other) >= LEAST_APART and not other <= grams * factor <= other * factor**2
