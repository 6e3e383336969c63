"""Weights put right, jobs not begun, rain and sprays as people tell them; our own wordings, no source."""

from collections.abc import Callable

import pytest

from flows.inputs import Harvest, Input, NotYet
from flows.reader import Reading
from flows.remarks import Correct, Greeting
from flows.spraying import Sprayed
from flows.watering import Rain
from flows.wishes import Pause

Says = Callable[[str], Reading]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("change my weight to 4 kg", Correct(grams=4000)),
        ("please make it 3 kilos", Correct(grams=3000)),
        ("badilisha iwe kilo 6", Correct(grams=6000)),
        ("nimechuma kilo 7 si 9 kama mlivyoandika", Correct(grams=7000, instead=9000)),
        ("bado sijaanza ya 4", NotYet(numbers=(4,))),
        ("7mm rain", Rain(tenths=70)),
        ("nimenyunyizia", Sprayed()),
        ("nimespray", Sprayed()),
        ("shikamoo mwalimu", Greeting()),
        ("thanks got it", Greeting(thanks=True)),
        ("zero harvest", Harvest(grams=0)),
        ("hakuna cha kuvuna", Harvest(grams=0)),
    ],
)
def test_what_is_told_in_everyday_words(says: Says, text: str, expected: Input) -> None:
    """A few words more or in another order say the same."""
    assert expected == says(text).input


def test_a_pause_of_texts_is_as_long_as_it_says(says: Says) -> None:
    """The word for pausing may stand with what is paused."""
    assert isinstance(says("pumzisha meseji wiki tatu").input, Pause)


@pytest.mark.parametrize("text", ["make it 3", "make it 20 litres", "it was 5 kg", "change the straw 5 kg"])
def test_other_things_changed_take_no_weight_back(says: Says, text: str) -> None:
    """Without its unit, or of something else, nothing is put right."""
    assert not isinstance(says(text).input, Correct)
