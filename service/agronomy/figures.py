"""The figures that calculators are given, held to what can be.

A figure outside its bounds is a slip, most often of the unit, and is refused in a sentence that says what is possible.
"""

from collections.abc import Iterable
from typing import NamedTuple

from service.core.errors import Refused


class Bounds(NamedTuple):
    """What one figure may be, both ends included.

    Attributes:
        name: the attribute that holds it.
        said: how a person calls it, at the start of a sentence.
        lowest: the smallest it may be.
        highest: the largest it may be.
        unit: of all three.
    """

    name: str
    said: str
    lowest: float
    highest: float
    unit: str


def refuse_outside(bounds: Iterable[Bounds], values: object) -> None:
    """Look at each figure of `values` that is known.

    Raises:
        Refused: one of them is outside its bounds, or no number at all.
    """
    for name, said, lowest, highest, unit in bounds:
        value = getattr(values, name)
        # Written so that "not a number" is refused too: it compares as false with everything.
        if value is not None and not lowest <= value <= highest:
            raise Refused(f"{said} {value:.10g} cannot be: give {lowest:g} to {highest:.10g} {unit}.")
