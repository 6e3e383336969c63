"""What will be brought to a collection, told with the word for it or in answer to the question."""

from collections.abc import Callable
from datetime import date

import pytest

from flows.collecting import Estimate
from flows.inputs import Input, Words
from flows.reader import Reading

Says = Callable[[str], Reading]

THURSDAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ESTIMATE 12", Estimate(grams=12_000)),
        ("estimate 12.5 kg tomorrow", Estimate(grams=12_500, on=THURSDAY)),
        ("estimated 800 g", Estimate(grams=800)),
        ("Kadirio kilo 8 na nusu", Estimate(grams=8_500)),
        ("makadirio 12 alhamisi", Estimate(grams=12_000, on=THURSDAY)),
        ("nakadiria kilo 5", Estimate(grams=5_000)),
        ("estimate 0", Estimate(grams=0)),
        ("estimate none", Estimate(grams=0)),
        ("kadirio hakuna", Estimate(grams=0)),
        ("estimate", Estimate()),
        ("estimate 8 or 9", Estimate(grams=8_000, doubtful=True)),
        ("estimate 1,250", Estimate(grams=1_250, doubtful=True)),
        ("estimate -4", Estimate(grams=4_000, doubtful=True)),
        ("estimate 3 buckets", Estimate(doubtful=True)),
        ("estimte 7", Estimate(grams=7_000)),
    ],
)
def test_an_estimate_is_read(says: Says, text: str, expected: Input) -> None:
    """One clear weight, or that there is nothing; what may mean two things is asked about."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    "text", ["how do I estimate my harvest?", "estimate of the rain was quite wrong here"]
)
def test_a_sentence_is_for_a_person(says: Says, text: str) -> None:
    """The word alone makes no estimate."""
    assert isinstance(says(text).input, Words)


@pytest.mark.parametrize(
    ("text", "nothing", "grams"),
    [
        ("none", True, None),
        ("hakuna", True, None),
        ("sitaleta kesho", True, None),
        ("I will bring nothing tomorrow", True, None),
        ("12 kg kesho", False, 12_000),
        ("tomorrow 8.5", False, 8_500),
        ("sijui", False, None),
        ("nothing grows since the hail", False, None),
        ("2 people come tomorrow", False, None),
        ("none of 12", False, None),
    ],
)
def test_what_answers_the_question_without_its_word(
    says: Says, text: str, *, nothing: bool, grams: int | None
) -> None:
    """Nothing, or a weight and a day and no more."""
    slots = says(text).slots

    assert (nothing, grams) == (slots.nothing, slots.grams)
