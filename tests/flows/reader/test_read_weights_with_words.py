"""Weights among words that change nothing about them; the wordings are our own, from everyday speech, no source."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from flows.inputs import Harvest
from flows.reader import Reading
from tests.flows.reader.conftest import TODAY

Says = Callable[[str], Reading]
YESTERDAY = TODAY - timedelta(days=1)


@pytest.mark.parametrize(
    ("text", "grams", "on"),
    [
        ("kg 3.2 in store, heavy rain", 3200, None),
        ("5kg from the lower plot this morning", 5000, TODAY),
        ("gms 900 all red and sweet", 900, None),
        ("forgot to send yesterday 4 kg", 4000, YESTERDAY),
        ("row 4 and row 5 together 6 kg", 6000, None),
        ("kilo 3 toka kitalu cha chini, jua kali", 3000, None),
        ("saa nne asubuhi kilo 2 na nusu", 2500, None),
        ("kilo tano nilizochuma shambani", 5000, None),
        ("mzani umeharibika, karibu kilo 6", 6000, None),
        ("nimetoa kilo 4 leo", 4000, TODAY),
        # The unit and its figures as they are glued and parted.
        ("mavuno 8kg250", 8250, None),
        ("harvest 3 . 5 kg", 3500, None),
        ("l4 kg today", 14_000, TODAY),
        ("vuna 2l kg", 21_000, None),
        ("nimechuma kilo mbili unusu", 2500, None),
        ("vuna kilo tatu u nusu", 3500, None),
        ("HARVESTKG7", 7000, None),
        ("picked fivekg today", 5000, TODAY),
        ("nimechuma kilotatu", 3000, None),
        ("nlichma kilo 5 jana", 5000, YESTERDAY),
        ("we gthrd 4 kg", 4000, None),
        # Numbers of other things.
        ("4 women picked 9 kg in 3 hours", 9000, None),
        ("picked 6 kg, 2 of us, call 0621 234 513", 6000, None),
        ("watu watatu tumevuna kilo 10 kuanzia saa mbili", 10_000, None),
        ("jana saa kumi nilichuma kilo 4", 4000, YESTERDAY),
    ],
)
def test_a_weight_is_kept_among_words_that_mean_nothing_for_it(
    says: Says, text: str, grams: int, on: date | None
) -> None:
    """Where, when, how and by whom it was picked leave one clear weight as it is."""
    meant = says(text).input

    assert isinstance(meant, Harvest)
    assert (grams, on, False) == (meant.grams, meant.on, meant.extra)


@pytest.mark.parametrize(
    "text",
    [
        "my son weighs 12 kg",
        "mke wangu kilo 70",
        "watoto kilo 12",
        "my weight is 60 kg",
        "uzito wangu kilo 60",
        "15 workers",
        "picked at 7",
        "picked for 2 hours",
        "picked by 3 women",
        "nimevuna saa mbili",
        "call me 0621 234 513",
        "12 kg at 300",
        "harvest 12kg 300",
        "2 kg each from 3 beds",
        "kila tuta kilo 2",
        "kilo 5 ila robo",
        "birds ate 2 kg",
        "kilo 3 zimeoza",
        "soko linahitaji kilo 30",
        "send me 5 kg of seed",
        "nahitaji kilo 5",
        "bad 2 kg",
        "target 20 kg",
        "5 kg less than before",
        "mbolea kilo 10 imefika",
        "tutachuma labda kilo nane",
        "2 kg today? or 3",
    ],
)
def test_no_other_number_is_kept_as_a_weight(says: Says, text: str) -> None:
    """People, prices, phones, hours, wishes, losses and other goods make no weight that is kept unasked."""
    meant = says(text).input

    assert not isinstance(meant, Harvest) or meant.grams is None or meant.extra
