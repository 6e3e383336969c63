"""Stories of a weight and the picking prompt that it answers."""

from datetime import date, timedelta

import pytest

from tests.riverside import SATURDAY, until
from tests.village import Phone, Village

WEDNESDAY = SATURDAY - timedelta(days=3)


@pytest.fixture
def phone(village: Village) -> Phone:
    """A farmer who picks on Wednesdays and Saturdays, asked on both days and silent until Saturday noon."""
    made = village.phone()
    made.joins(days_ago=200)
    until(village, SATURDAY, 12)
    return made


def prompts(village: Village) -> dict[date, tuple[object, object]]:
    """Return by its day what became of each picking prompt."""
    rows = village.rows("SELECT due_on, state, answer FROM reminder WHERE task = 'picking'")
    return {date.fromisoformat(str(row["due_on"])): (row["state"], row["answer"]) for row in rows}


def test_a_weight_answers_its_own_prompt(village: Village, phone: Phone) -> None:
    """Wednesday's picking was missed, whatever was picked on Saturday; a second weight of a day changes nothing."""
    phone.says("harvest 5")
    phone.says("harvest 3 today")

    assert {WEDNESDAY: ("texted", None), SATURDAY: ("answered", "weight")} == prompts(village)


def test_a_weight_that_comes_late_answers_the_prompt_before_it(village: Village, phone: Phone) -> None:
    """Picked on Thursday instead of Wednesday, told on Saturday after that day's weight."""
    phone.says("harvest 5")
    phone.says("harvest 4 26/11")

    assert {WEDNESDAY: ("answered", "weight"), SATURDAY: ("answered", "weight")} == prompts(village)


def test_what_is_taken_back_opens_what_it_had_closed(village: Village, phone: Phone) -> None:
    """Saturday's weight stays, and so does what it answered; Thursday's opens Wednesday's prompt again."""
    phone.says("harvest 5")
    phone.says("harvest 4 26/11")
    phone.says("undo")

    assert {WEDNESDAY: ("texted", None), SATURDAY: ("answered", "weight")} == prompts(village)


def test_what_another_weight_answers_stays_closed(village: Village, phone: Phone) -> None:
    """Wednesday's weight answered Wednesday's prompt: taking back Saturday's opens Saturday's alone."""
    phone.says("harvest 4 25/11")
    phone.says("harvest 5")
    phone.says("undo")

    assert {WEDNESDAY: ("answered", "weight"), SATURDAY: ("texted", None)} == prompts(village)
