"""What a slip takes back: after a stop nothing, and beside a weight only a weight."""

import pytest

from tests.village import Phone, Village


def counted(village: Village) -> list[object]:
    """Return the weights that stand, in grams."""
    return [
        row["grams"] for row in village.rows("SELECT grams FROM harvest WHERE voided_by IS NULL ORDER BY id")
    ]


@pytest.fixture(params=["en", "sw"])
def phone(request: pytest.FixtureRequest, village: Village) -> Phone:
    """The phone of a farmer whose plants bear, in each language: a slip is heard in both."""
    phone = village.phone()
    phone.joins(language=request.param, days_ago=200)
    return phone


@pytest.mark.parametrize(
    "words", ["nimekosea nataka kurudi", "rudi", "i made a mistake i want to come back", "mistake, i am back"]
)
def test_who_stopped_by_a_slip_is_asked_to_come_back(village: Village, phone: Phone, words: str) -> None:
    """The weight that was kept before the stop stays; yes is enough to be back."""
    phone.says("vuna 6.5")
    phone.says("ACHA")

    asked = phone.says(words)
    phone.says("1")

    assert "Zaruvi Berry Programme" in asked
    assert [6500] == counted(village)
    assert ["active"] == [row["state"] for row in village.rows("SELECT state FROM farmer")]


@pytest.mark.parametrize("words", ["nimekosea", "undo", "no it is 7, not 6.5"])
def test_a_phone_that_stopped_takes_nothing_back(village: Village, phone: Phone, words: str) -> None:
    """It is told how to come back instead."""
    phone.says("vuna 6.5")
    phone.says("ACHA")

    told = phone.says(words)

    assert "JOIN" in told or "JIUNGE" in told
    assert [6500] == counted(village)


@pytest.mark.parametrize(
    "words", ["nimekosea ni kilo 7 sio 3", "mistake it is 7 kg not 3", "nimekosea kilo 7", "mistake, 7 kg"]
)
def test_a_weight_put_right_answers_how_many_kilos(village: Village, phone: Phone, words: str) -> None:
    """What was finished before stays finished."""
    phone.says("kazi")
    phone.says("tayari 1")
    phone.says("vuna")

    phone.says(words)

    assert [7000] == counted(village)
    assert [1] == [
        row["n"] for row in village.rows("SELECT count(*) AS n FROM done_report WHERE voided_by IS NULL")
    ]


@pytest.mark.parametrize("words", ["futa kilo 3", "undo 3 kg", "mistake not 3"])
def test_a_weight_that_was_never_kept_opens_no_job_again(village: Village, phone: Phone, words: str) -> None:
    """The last thing kept is a job: nothing of it is taken back by a word about a weight."""
    phone.says("kazi")
    phone.says("tayari 1")

    phone.says(words)

    assert [1] == [
        row["n"] for row in village.rows("SELECT count(*) AS n FROM done_report WHERE voided_by IS NULL")
    ]


def test_the_weight_that_was_kept_last_is_taken_back_by_its_kilos(village: Village, phone: Phone) -> None:
    """Named, it is as clear as the word alone."""
    phone.says("vuna 3")

    phone.says("futa kilo 3")

    assert [] == counted(village)


def test_a_second_weight_of_a_day_is_put_right_before_it_is_kept(village: Village, phone: Phone) -> None:
    """The question is asked anew with the right weight, and the first one stays."""
    phone.says("vuna 5")
    phone.says("vuna 3")

    asked = phone.says("nimekosea ni kilo 4 sio 3")

    assert "9" in asked
    assert [5000] == counted(village)
