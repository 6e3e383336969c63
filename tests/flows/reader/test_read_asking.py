"""Questions that answers of ours settle; the wordings are our own, from everyday speech, no source."""

from collections.abc import Callable

import pytest

from flows.inputs import Ask, Help, Input, Total, Words
from flows.reader import Reading
from flows.trading import Price
from flows.watering import Water
from flows.wishes import Records, Who

Says = Callable[[str], Reading]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("how much have I picked so far?", Total()),
        ("how many kilos have we harvested since we began", Total()),
        ("nimevuna kilo ngapi mpaka sasa?", Total()),
        ("mavuno yangu yamefika kiasi gani", Total()),
        ("maji kiasi gani leo?", Water()),
        ("how much water today?", Water()),
        ("how often do I water these days", Water()),
        ("nimwagilie mara ngapi?", Water()),
        ("what do they pay per kilo at the market?", Price()),
        ("kwa kilo wanalipa shilingi ngapi?", Price()),
        ("who keeps sending me this?", Who()),
        ("nani anatuma ujumbe huu kwangu?", Who()),
        ("how do I send my kilos?", Help()),
        ("nitumeje kilo zangu?", Help()),
        ("what do you know about me?", Records()),
        ("can somebody call me", Ask(text="can somebody call me")),
        ("afisa aje shambani tafadhali", Ask(text="afisa aje shambani tafadhali")),
    ],
)
def test_a_question_with_an_answer_of_ours(says: Says, text: str, expected: Input) -> None:
    """The words may stand in any order, and a few others beside them."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        "how much can I sell this year?",
        "maji yenye chumvi kiasi gani yanafaa?",
        "how many parts of water to one of manure?",
        "why is the price per kilo so low?",
        "bei ya mbolea ni kiasi gani?",
        "who buys strawberries here?",
        "nani mnunuzi wa kijiji?",
        "how much water does my neighbour give his old trees behind the hill?",
    ],
)
def test_another_question_is_for_a_person(says: Says, text: str) -> None:
    """One word that makes it another question, or a story around it, leaves it to an officer."""
    meant = says(text).input

    assert isinstance(meant, Words)
    assert meant.question
