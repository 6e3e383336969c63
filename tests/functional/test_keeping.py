"""Stories of picked fruit: how long it keeps is told by its hours and the day's warmth, and what keeps it longer."""

import pytest

from tests.functional.test_water import forecast, weather
from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer whose plants bear, on a day of 30 degrees."""
    phone = village.phone()
    phone.joins(days_ago=200)
    weather(village, {village.today: forecast(village, tmin_c=15, tmax_c=30)})
    return phone


@pytest.mark.parametrize(
    ("words", "told"),
    [
        # By hand, from data/cooling.toml: at 30 degrees 0.25 to 0.5 days, at 10 degrees 2 to 4 days.
        pytest.param("fresh", "at 30 C picked fruit keeps some 6-12 hours", id="just-picked"),
        pytest.param("FRESH", "cooled to 10 C 48-96 hours", id="and-cooled"),
        # Three hours used up a half of the shortest life and a quarter of the longest one.
        pytest.param("fresh 3", "keeps some 3-9 hours more at 30 C, 24-72 cooled to 10 C.", id="three-hours"),
        pytest.param("fresh 3 hours", "picked 3 hours ago", id="in-words"),
        pytest.param("how long will it keep?", "Shade it at once", id="asked-in-a-sentence"),
        pytest.param("pooza 3", "keeps some 3-9 hours more", id="swahili"),
        pytest.param("matunda yatakaa muda gani?", "Shade it at once", id="asked-in-swahili"),
        pytest.param("fresh 8", "may be over: take out what is soft or mouldy", id="too-long"),
        pytest.param("fresh fruit in my market", "did not understand", id="a-sentence"),
    ],
)
def test_how_long_fruit_keeps(phone: Phone, words: str, told: str) -> None:
    """The warmer and the longer it lay, the less is left; the steps stand beside it."""
    assert told in phone.says(words)


def test_under_a_hold_nothing_is_said_of_keeping(phone: Phone) -> None:
    """Cool fruit is no less sprayed."""
    phone.says("sprayed 7")

    answer = phone.says("fresh 3")

    assert "may not be eaten or sold before Wed 2/12, however cool it lies" in answer


def test_where_no_plants_stand_only_the_steps_are_told(village: Village) -> None:
    """Whoever has none in the ground yet is told what to do with fruit."""
    phone = village.phone()
    phone.joins(days_ago=-20)

    assert "coolest place you have" in phone.says("fresh")
