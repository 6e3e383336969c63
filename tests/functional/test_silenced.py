"""Stories of farmers whose texts are not answered for a while: what they say is done once, and nothing gets lost."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from flows.states import IDLE, State
from service.use_cases.tools import ReplyLimits
from tests.village import Phone, Village, build_village


@pytest.fixture
def village(database_url: str) -> Iterator[Village]:
    """A village in which the guards keep the limits of real use."""
    made = build_village(database_url, limits=ReplyLimits())
    yield made
    made.database.close()


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants who picks, and joined some hours ago."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.clock.advance(timedelta(hours=2))
    return phone


def mute(phone: Phone) -> None:
    """Send the same text until nothing is answered for a day, whatever is asked."""
    phone.village.clock.advance(timedelta(minutes=61))
    assert "" == [phone.says("total") for _ in range(4)][-1]


def flood(phone: Phone) -> None:
    """Send one text after the other until none is answered."""
    assert "" == [phone.says(f"jobs {place}") for place in range(1, 8)][-1]


def on_the_list(village: Village) -> list[object]:
    """Return the texts that wait for an officer."""
    return [row["text"] for row in village.rows("SELECT text FROM question ORDER BY id")]


def test_an_answer_is_taken_once_although_nothing_is_said(village: Village, phone: Phone) -> None:
    """The look is kept, and the question is closed with it: the number sent again reports nothing a second time."""
    scouting = next(place for place in range(1, 10) if "dots or webs" in phone.says(f"jobs {place}"))
    phone.says(f"done {scouting}")
    mute(phone)

    answers = [phone.says("3"), phone.says("3")]

    assert ["", ""] == answers
    assert [{"finding": "grey_mould"}] == village.rows("SELECT finding FROM scout_report")
    assert phone.talk.state is State.IDLE


def test_a_doubtful_weight_nobody_was_asked_about_goes_to_an_officer(village: Village, phone: Phone) -> None:
    """In the silence no question is put, so no yes can answer it; a person sees the weight instead, once."""
    flood(phone)
    before = phone.talk

    answers = [phone.says(words) for words in ("harvest 40 yesterday", "harvest 40 yesterday", "yes")]

    assert ["", "", ""] == answers
    assert before == phone.talk
    assert ["harvest 40 yesterday"] == on_the_list(village)
    assert {"in_question"} == {row["state"] for row in village.rows("SELECT state FROM harvest")}


def test_a_second_weight_of_a_day_is_not_lost_in_the_silence(village: Village, phone: Phone) -> None:
    """Whether it is to be added cannot be asked, so an officer learns of it."""
    phone.says("harvest 8")
    flood(phone)

    assert "" == phone.says("harvest 9")
    assert ["harvest 9"] == on_the_list(village)
    assert [{"grams": 8000}] == village.rows("SELECT grams FROM harvest")


def test_a_doubt_that_answers_a_question_of_ours_ends_it(village: Village, phone: Phone) -> None:
    """Asked for the kilos and told 40, we wait for no kilos any more, although we may not ask on."""
    phone.says("harvest")
    mute(phone)

    phone.says("40")

    assert phone.talk == IDLE
    assert ["40"] == on_the_list(village)


def test_what_is_not_understood_and_not_answered_is_one_line_for_an_officer(
    village: Village, phone: Phone
) -> None:
    """However many such texts come: a machine would fill the page."""
    mute(phone)

    for words in ("hm", "hmm", "hmmm", "hmmmm", "hmmmmm"):
        phone.says(words)

    assert ["hm / hmm / hmmm / hmmmm / hmmmmm"] == on_the_list(village)
