"""Reading what a clerk notes at the scales."""

from collections.abc import Callable

import pytest

from flows.inputs import Words
from flows.orders import Basket
from flows.reader import Reading

Says = Callable[[str], Reading]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("SCALE 7 12.5", Basket(row=7, accepted=12_500)),
        ("scale 7 12,5 kg", Basket(row=7, accepted=12_500)),
        ("mizani 12 kilo 8", Basket()),
        ("scale 7 12 1 mould", Basket(row=7, accepted=12_000, rejected=1_000, reason="mould")),
        ("scale 3 0 6 after a spray", Basket(row=3, accepted=0, rejected=6_000, reason="spray")),
        ("MIZANI 7 12 1.5 hayajaiva", Basket(row=7, accepted=12_000, rejected=1_500, reason="unripe")),
        ("mizani 7 12 1 yameiva mno", Basket(row=7, accepted=12_000, rejected=1_000, reason="overripe")),
        ("scale 7 12 1", Basket(row=7, accepted=12_000, rejected=1_000)),
        ("scale 7 0", Basket(row=7, accepted=0)),
        ("scale", Basket()),
        ("scale 7.5 12", Basket()),
        ("scale 7 12 1 2", Basket()),
        ("scale 7 1,250", Basket()),
        ("scale 7 500 g", Basket()),
    ],
)
def test_number_kilos_and_reason(says: Says, text: str, expected: Basket) -> None:
    """The number of the list comes first; what cannot be told apart for sure is left out."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        "scale 7",
        "mizani yenu si sawa",
        "the scale is wrong 7 12",
        "is the scale 7 12 right?",
        "scale not 7 12",
        "nahitaji mizani 2 za kilo 10",
    ],
)
def test_sentences_about_scales_are_for_a_person(says: Says, text: str) -> None:
    """Farmers complain about scales, and buy some."""
    assert isinstance(says(text).input, Words)
