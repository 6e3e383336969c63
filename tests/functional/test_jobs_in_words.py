"""Stories of jobs that are reported by their names, all at once, or by a number that may mean two things."""

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer who has seen the list."""
    phone = village.phone()
    phone.joins()
    village.pass_days(7)
    phone.says("jobs")
    return phone


def done(village: Village) -> set[object]:
    """Return the tasks that were reported."""
    return {row["task"] for row in village.rows("SELECT task FROM done_report WHERE voided_by IS NULL")}


@pytest.mark.parametrize(
    ("words", "task"), [("nimeshamwagilia", "water"), ("runners done", "runners"), ("nimepalilia", "weeds")]
)
def test_a_job_is_done_by_its_name(village: Village, phone: Phone, words: str, task: str) -> None:
    """Nobody has to look up a number."""
    phone.says(words)

    assert {task} == done(village)


def test_all_done_says_what_was_marked(village: Village, phone: Phone) -> None:
    """A farmer who says all reads what all was."""
    answer = phone.says("kazi zote nimemaliza")

    assert "1 Flowers off" in answer
    assert "3 Runners" in answer
    assert {"flowers_off", "runners", "water"} <= done(village)


def test_all_done_is_no_picking(village: Village) -> None:
    """A picking is reported with its weight: it stays open, and the kilos are asked for."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.pass_days(7)
    listed = phone.says("jobs")

    answer = phone.says("all done")

    assert "Pick, weigh" in listed
    assert "How many kilos" in answer
    assert "Pick, weigh" not in answer
    assert "picking" not in done(village)


def test_a_number_after_its_advice_is_asked_about(village: Village, phone: Phone) -> None:
    """It may have been sent to read the advice once more."""
    phone.says("jobs 3")

    answer = phone.says("3")

    assert "is this finished: Runners" in answer
    assert set() == done(village)
    phone.says("1")
    assert {"runners"} == done(village)
