"""What an officer's own words may not say."""

import pytest

from service.core.refused_words import REFUSED_WORDS, refused_in

REFUSED = [
    ("Use 30 ml for each knapsack", "30 ml"),
    ("Weka gramu 20 kwa maji", "gramu 20"),
    ("2.5 g per plant is enough", "2.5 g"),
    ("The dosage is on the bag", "dosage"),
    ("Mixing both is cheaper", "mixing"),
    ("Changanya dawa mbili", "changanya"),
    ("Spray tonight", "spray"),
    ("Pulizia jioni hii", "pulizia"),
    ("Kerosene keeps slugs away", "kerosene"),
    ("Tumia mafuta ya taa", "mafuta ya taa"),
    ("Safisha matuta kwa dawa ya kufulia nguo", "dawa ya kufulia nguo"),
    ("Burn tyres against the frost", "burn"),
    ("Choma nyasi usiku", "choma"),
    ("Petrol in a tin", "petrol"),
    ("Start the pump at three", "pump"),
    ("Washa pampu saa tisa", "pampu"),
    ("It is SAFE for children", "safe"),
    ("Dawa hii ni salama", "salama"),
    ("Text us your PIN", "pin"),
    ("Tuma pesa kwa namba hii", "tuma pesa"),
    ("Pay by mobile money today", "mobile money"),
    ("Lipa pesa kwa simu leo", "pesa kwa simu"),
]
FINE = [
    "The meeting is on Friday at 10 at the school.",
    "Mkutano ni Ijumaa saa nne asubuhi shuleni.",
    "Lorry comes Tuesday 7 am, bring ripe fruit in clean crates.",
    "Gari linakuja Jumanne saa moja, leta matunda safi.",
    "Heavy rain, 60 mm, likely. Clear the drains.",
    "Spraying teams are not from us. Ask your officer first.",
    "Pinda majani yaliyokauka.",
    "No firewood is needed.",
    "Cover plants with 2 sacks each, 20 cm apart.",
]


@pytest.mark.parametrize(("words", "found"), REFUSED, ids=[found for _, found in REFUSED])
def test_a_refused_word_is_found_with_its_reason(words: str, found: str) -> None:
    """In either language, in any case, whole or as the beginning the list gives."""
    hits = refused_in(words)

    assert found in [hit.word for hit in hits]
    assert all(hit.why for hit in hits)


@pytest.mark.parametrize("words", FINE)
def test_ordinary_words_pass(words: str) -> None:
    """A word inside another, a measure of rain and the name of a plant part are no advice to use anything."""
    assert () == refused_in(words)


def test_each_word_is_told_once() -> None:
    """However often it stands there."""
    assert ["burn"] == [hit.word for hit in refused_in("burn Burn BURN")]


def test_no_word_stands_in_two_rows() -> None:
    """One word has one reason."""
    words = [word for row in REFUSED_WORDS for word in row.words]

    assert len(set(words)) == len(words)
