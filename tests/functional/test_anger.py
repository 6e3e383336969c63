"""Somebody is angry about our texts, often the new owner of a number: texts end, or whether they shall is asked."""

import pytest

from tests.village import Phone, Village


@pytest.fixture(params=["en", "sw"])
def phone(request: pytest.FixtureRequest, village: Village) -> Phone:
    """The phone of a farmer, in each language: words of anger are heard in both."""
    phone = village.phone()
    phone.joins(language=request.param)
    return phone


def stopped(village: Village) -> bool:
    """Return whether the phone gets no more texts."""
    return bool(village.rows("SELECT since FROM stop_list"))


@pytest.mark.parametrize(
    "words",
    [
        "who is this stop bothering me",
        "who is this? leave me alone!",
        "stop bothering me, who are you",
        "acheni kunisumbua",
        "nani huyu acheni kunisumbua",
    ],
)
def test_a_plain_opt_out_stops_whoever_asks_who_we_are(village: Village, phone: Phone, words: str) -> None:
    """The phrase alone leaves no doubt, and "who is this" beside it none either."""
    phone.says(words)

    assert stopped(village)


ASKED = ("Shall we send no more texts to this phone?", "Unataka tusitume tena ujumbe")
GO_ON = ("our texts go on", "ujumbe wetu unaendelea")


@pytest.mark.parametrize("words", ["you scammers from the city", "matapeli nyinyi mnanisumbua kila siku"])
@pytest.mark.parametrize(("answer", "ends"), [("2", True), ("yes", True), ("1", False), ("hapana", False)])
def test_anger_that_says_more_is_asked_plainly(
    village: Village,
    phone: Phone,
    words: str,
    answer: str,
    ends: bool,  # noqa: FBT001 - a case
) -> None:
    """Nothing is said of taking an entry back, which a stranger has never sent; yes and no are enough."""
    asked = phone.says(words)
    told = phone.says(answer)

    assert asked.startswith(ASKED)
    assert ends == stopped(village)
    assert ends != any(go_on in told for go_on in GO_ON)


def test_an_answer_that_says_neither_is_asked_once_more(village: Village, phone: Phone) -> None:
    """The same question comes again, and meanwhile nothing is pushed to the phone."""
    phone.says("matapeli nyinyi mnanisumbua kila siku")

    assert phone.says("hm hm").startswith(ASKED)
    assert not stopped(village)


def test_cancel_still_asks_undo_or_stop(village: Village, phone: Phone) -> None:
    """A word that may mean the last entry asks which is meant, and its 3 takes back."""
    phone.says("harvest 4")
    asked = phone.says("cancel")
    phone.says("3")

    assert "3 take back" in asked or "3 kufuta" in asked
    assert ["voided"] == [row["state"] for row in village.rows("SELECT state FROM harvest")]
