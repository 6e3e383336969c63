"""Stories of a number that has not joined: what is clear is answered as such, and nothing of it is kept."""

import pytest

from tests.village import Village

NOT_KNOWN = "This number is not known to us, so nothing was noted."
NOT_KNOWN_SW = "Namba hii haijajiunga, hivyo hatukuandika kitu."


@pytest.mark.parametrize(
    ("words", "answered_with"),
    [
        pytest.param("harvest 12.5", NOT_KNOWN, id="weight"),
        pytest.param("12 kg", NOT_KNOWN, id="weight-without-a-word"),
        pytest.param("nimevuna kilo 8", NOT_KNOWN_SW, id="weight-in-swahili"),
        pytest.param("sold 12 kg 30000 for all", NOT_KNOWN, id="sale"),
        pytest.param("done 3", NOT_KNOWN, id="job"),
        pytest.param("sprayed 7", "Pick nothing before the label's days are over.", id="spray"),
        pytest.param("nimepulizia 7", "Usichume kabla ya siku za lebo kuisha.", id="spray-in-swahili"),
        pytest.param("price", "prices and totals go to farmers who have joined", id="price"),
        pytest.param("bei gani", "bei na jumla huenda kwa waliojiunga", id="price-in-swahili"),
        pytest.param("jobs", "text JOIN and your name", id="jobs"),
        pytest.param("who is this?", "never want money or a PIN", id="who"),
        pytest.param("nani", "hatuombi kamwe pesa wala PIN", id="who-in-swahili"),
        pytest.param("help", "To begin text JOIN", id="help"),
        pytest.param("he drank poison", "POISON?", id="emergency"),
        pytest.param("stop", "You will get no more texts", id="stop"),
        pytest.param("hello", "reply 1 English", id="greeting"),
        pytest.param("7", "reply 1 English", id="digit"),
    ],
)
@pytest.mark.parametrize("before", [(), ("hello",)], ids=["first", "after-our-question"])
def test_what_is_clear_is_answered_as_such(
    village: Village, before: tuple[str, ...], words: str, answered_with: str
) -> None:
    """Whoever has not joined is told so in a sentence, and what to text; nothing is kept of a report."""
    stranger = village.phone()
    for one in before:
        stranger.says(one)

    answer = stranger.says(words)

    assert answered_with in answer
    for table in ("farmer", "harvest", "spray", "sale"):
        assert [] == village.rows(f"SELECT id FROM {table}")  # noqa: S608


def test_a_strangers_question_goes_to_an_officer(village: Village) -> None:
    """It is noted as anybody's is, and the invitation stands behind it."""
    stranger = village.phone()

    answer = stranger.says("how many plants do I need for one acre?")

    assert "is noted, an officer will read it." in answer
    assert "text JOIN and your name" in answer
    assert ["how many plants do I need for one acre?"] == [
        row["text"] for row in village.rows("SELECT text FROM question")
    ]
    assert "What is your name" in stranger.says("join")


def test_who_has_begun_to_join_is_asked_on(village: Village) -> None:
    """A weight in the middle of joining does not end it."""
    phone = village.phone()
    phone.says("JOIN Neema")

    assert "the number of your strawberry plants" in phone.says("harvest 4")
