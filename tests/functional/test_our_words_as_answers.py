"""Stories of farmers who answer in the words of our own question: those are answers, and no echo of a machine."""

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer whose first list has eight jobs: 1 Flowers off, 2 Check pests and so on."""
    phone = village.phone()
    phone.joins()
    return phone


@pytest.mark.parametrize(
    ("words", "finding"),
    [
        pytest.param("3 grey mould on fruit", "grey_mould", id="number-and-words"),
        pytest.param("grey mould on fruit", "grey_mould", id="words-alone"),
        pytest.param("4 nzi kwenye matunda", "flies", id="swahili"),
    ],
)
def test_what_was_seen_is_said_in_our_words(village: Village, phone: Phone, words: str, finding: str) -> None:
    """Twenty letters of our own question are an answer to it: kept, and answered as its number is."""
    if "nzi" in words:
        phone.says("lugha kiswahili")
    phone.says("done 2")

    answer = phone.says(words)

    assert [{"finding": finding}] == village.rows("SELECT finding FROM scout_report")
    assert answer


@pytest.mark.parametrize(
    ("words", "grams"),
    [
        pytest.param("2 to write the new weight instead", [9000], id="instead"),
        pytest.param("to write the new weight instead", [9000], id="instead-without-its-number"),
        pytest.param("3 to change nothing.", [8000], id="nothing"),
    ],
)
def test_a_second_weight_is_settled_in_our_words(village: Village, words: str, grams: list[int]) -> None:
    """Asked twice what to do with a second weight, the farmer sends the words that we offered."""
    phone = village.phone()
    phone.joins(days_ago=200)
    phone.says("harvest 8")
    phone.says("harvest 9")
    asked = phone.says("the new one")

    answer = phone.says(words)

    assert "2 to write the new weight instead" in asked
    assert answer
    assert grams == [
        row["grams"] for row in village.rows("SELECT grams FROM harvest WHERE state = 'counted'")
    ]


@pytest.mark.parametrize(
    "words",
    [
        pytest.param("Cut them close to the plant", id="a-part-of-ours"),
        pytest.param("what is a clean blade. Then reply DONE 3", id="a-question-about-a-part"),
        pytest.param("What did you see? I saw many slugs on all my plants this morning", id="ours-and-more"),
    ],
)
def test_a_part_of_our_text_is_no_echo(phone: Phone, words: str) -> None:
    """A farmer may quote us, with no question open; only a text that is ours from end to end comes from a machine."""
    phone.says("jobs 3")
    phone.says("help")

    assert phone.says(words)
