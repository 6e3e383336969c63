"""What fruit is picked into: containers that are counted, and what one of them holds."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from flows.inputs import Harvest, Input, Number, Unit, Words
from flows.reader import Reading
from flows.vessels import Filled, Vessel, VesselTold

Says = Callable[[str], Reading]

TODAY = date(2026, 11, 25)


def basket(grams: int) -> VesselTold:
    """Return that a basket holds so much."""
    return VesselTold(vessel=Vessel.BASKET, grams=grams)


def filled(vessel: Vessel, count: str, on: date | None = None) -> Filled:
    """Return that so many were picked."""
    return Filled(vessel=vessel, count=Decimal(count), on=on)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("basket = 3 kg", basket(3_000)),
        ("my basket holds 3.5 kg", basket(3_500)),
        ("container basket is 3 kg", basket(3_000)),
        ("kikapu ni kilo 3", basket(3_000)),
        ("kikapu changu kina kilo 3 na nusu", basket(3_500)),
        ("punnet = 250 g", VesselTold(vessel=Vessel.PUNNET, grams=250)),
        ("harvest 2 baskets", filled(Vessel.BASKET, "2")),
        ("picked 2.5 baskets yesterday", filled(Vessel.BASKET, "2.5", date(2026, 11, 24))),
        ("vuna vikapu 2 na nusu", filled(Vessel.BASKET, "2.5")),
        ("nimevuna ndoo 3 leo", filled(Vessel.BUCKET, "3", TODAY)),
        ("vuna ndoo moja", filled(Vessel.BUCKET, "1")),
        ("harvest 6 kg in 2 baskets", Harvest(grams=6_000, unit=Unit.KILO)),
    ],
)
def test_containers_are_read(says: Says, text: str, expected: Input) -> None:
    """What one holds is told with a word that says so; a number of them is a picking beside its word only."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    "text", ["basket 3 kg", "how many kg is a basket?", "3 baskets", "the basket is broken", "basket = 3"]
)
def test_what_says_neither_is_no_container(says: Says, text: str) -> None:
    """A basket beside three kilos may be a picking; a question goes to a person."""
    assert isinstance(says(text).input, Words | Number)
