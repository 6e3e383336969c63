"""Fruit by size, and weights from containers of the farmer's own.

A container counts only by the weight its owner has told: a bucket is no measure, and volumes are never turned
into kilos without one. Size alone makes no class; it only shuts some out.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from service.agronomy.cooling import CoolingFigures
from service.agronomy.figures import possible

# From a handful to what two people carry.
_LEAST_GRAMS: Final = 50
_MOST_GRAMS: Final = 60_000


@dataclass(frozen=True, kw_only=True, slots=True)
class Container:
    """A container of the farmer's own and what it holds of fruit when full, in grams.

    `assumed` tells that nobody has weighed it and the usual weight of a punnet is taken.

    Raises:
        Refused: nobody picks into such a thing.
    """

    grams: int
    assumed: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be one."""
        possible("What a container holds", self.grams, _LEAST_GRAMS, _MOST_GRAMS, "grams")


@dataclass(frozen=True, kw_only=True, slots=True)
class Packed:
    """Some fruit in containers: how many are full, and the grams left over."""

    full: int
    left_grams: int


def punnet_of(figures: CoolingFigures, own_grams: int | None = None) -> Container:
    """Return the farmer's own punnet, or the usual one where nobody has told.

    Raises:
        Refused: nobody picks into such a punnet.
    """
    if own_grams is None:
        return Container(grams=figures.punnet.grams, assumed=True)
    return Container(grams=own_grams)


def grams_in(container: Container, count: Decimal) -> int:
    """Return the grams in a number of containers, half ones allowed; half grams go up.

    Raises:
        Refused: there is no such number.
    """
    possible("The number of containers", float(count), 0, 100_000, "containers")
    return int((count * container.grams).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def packed(container: Container, grams: int) -> Packed:
    """Return how many containers some fruit fills.

    Raises:
        Refused: there is no such weight.
    """
    possible("Fruit to pack", grams, 0, 10**9, "grams")
    full, left = divmod(grams, container.grams)
    return Packed(full=full, left_grams=left)


def classes_by_size(figures: CoolingFigures, diameter_mm: float, *, wood: bool = False) -> tuple[str, ...]:
    """Return the classes that a fruit's size does not shut out, the best first; none for one too small.

    The diameter is the largest one across. Wood strawberries may be of any size.

    Raises:
        Refused: no fruit has such a diameter.
    """
    possible("The diameter of a fruit", diameter_mm, 1, 120, "millimetres")
    return tuple(size.name for size in figures.sizes if wood or diameter_mm >= size.least_mm)
