"""What a farmer says to bring, a step at a time: asked, told, changed, and held back by a spray."""

from dataclasses import replace
from datetime import timedelta

import pytest

from flows.collecting import SaveEstimate, VoidEstimate
from flows.facts import Saved, SavedKind
from flows.states import IDLE, Conversation, State
from flows.weighed import SaveHarvest
from tests.talking import ASHA, COMING, TODAY, Talk, facts, said, talk_in
from tests.talking import HELD as SPRAYED
from tests.talking import NEEMA as ALONE

NEEMA = replace(ALONE, coming=COMING)
HELD = replace(SPRAYED, coming=COMING)
LATER = replace(NEEMA, coming=replace(COMING, on=TODAY + timedelta(days=4)))


def kept(talk: Talk, words: str) -> list[SaveEstimate]:
    """Return the estimates that a text leads to."""
    return [effect for effect in talk.says(words).effects if isinstance(effect, SaveEstimate)]


@pytest.mark.parametrize(
    ("words", "grams"),
    [
        ("12", 12_000),
        ("12 kg", 12_000),
        ("kilo 8 na nusu", 8_500),
        ("1", 1_000),
        ("0", 0),
        ("none", 0),
        ("hakuna", 0),
        ("no", 0),
        ("nothing ripe", 0),
        ("12 kesho", 12_000),
        ("estimate 9", 9_000),
    ],
)
def test_an_answer_is_kept_for_the_day_of_the_collection(words: str, grams: int) -> None:
    """It is no harvest, and the question is over."""
    talk = Talk(facts(NEEMA), talk_in(State.ESTIMATE))

    assert [SaveEstimate(id=100, farmer_id=1, on=COMING.on, grams=grams)] == kept(talk, words)
    assert talk.conversation == IDLE


def test_a_weight_with_its_own_word_stays_a_harvest() -> None:
    """Whoever has picked today says so; the question stays open."""
    talk = Talk(facts(NEEMA), talk_in(State.ESTIMATE))
    turn = talk.says("harvest 12")

    assert [12_000] == [effect.grams for effect in turn.effects if isinstance(effect, SaveHarvest)]
    assert talk.conversation.state is State.ESTIMATE


@pytest.mark.parametrize(
    ("words", "text_id"),
    [
        ("much", "estimate_ask"),
        ("2 or 3", "estimate_ask"),
        ("90", "estimate_much"),
    ],
)
def test_what_is_no_clear_answer_is_asked_again(words: str, text_id: str) -> None:
    """400 plants do not bear 90 kg at once."""
    turn = Talk(facts(NEEMA), talk_in(State.ESTIMATE)).says(words)

    assert [text_id] == said(turn)


@pytest.mark.parametrize(
    ("words", "farmer", "text_id"),
    [
        ("estimate 12", NEEMA, "estimate_noted"),
        ("estimate 0", NEEMA, "estimate_none_noted"),
        ("estimate", NEEMA, "estimate_ask"),
        ("estimate 12 1/12", NEEMA, "estimate_ask"),
        ("estimate 8 or 9", NEEMA, "estimate_ask"),
        ("estimate 90", NEEMA, "estimate_much"),
        ("estimate 12", ALONE, "estimate_no_collection"),
        ("estimate 12", HELD, "estimate_held"),
        ("estimate 0", HELD, "estimate_none_noted"),
    ],
)
def test_the_word_is_answered(words: str, farmer: object, text_id: str) -> None:
    """With the day it is kept for, with a question, or with what a spray's label asks for."""
    turn = Talk(facts(farmer)).says(words)  # type: ignore[arg-type]

    assert [text_id] == said(turn)


def test_under_a_hold_nothing_is_kept_of_what_would_come() -> None:
    """A spray that was told meanwhile is heard, also in the answer to our question."""
    talk = Talk(facts(HELD), talk_in(State.ESTIMATE))

    assert [] == kept(talk, "12")
    assert talk.conversation == IDLE


def test_once_the_collection_has_begun_a_number_is_a_weight_again() -> None:
    """The question was about a day that is over."""
    talk = Talk(facts(LATER), talk_in(State.ESTIMATE))
    turn = talk.says("12")

    assert ["bare_weight"] == said(turn)
    assert ["estimate_over"] == said(Talk(facts(LATER), talk_in(State.ESTIMATE)).says("none"))


def test_undo_takes_an_estimate_back() -> None:
    """The answer names what is gone."""
    saved = Saved(kind=SavedKind.ESTIMATE, id=7, farmer_id=1, on=COMING.on, grams=12_000)
    turn = Talk(facts(NEEMA, saved=saved)).says("undo")

    assert [VoidEstimate(id=7, farmer_id=1)] == [one for one in turn.effects if isinstance(one, VoidEstimate)]
    assert ["undone_estimate"] == said(turn)


def test_a_collection_sets_the_picking_days() -> None:
    """Other days would change nothing of when the fruit is fetched."""
    talk = Talk(facts(NEEMA))
    talk.says("days")

    assert ["days_collected"] == said(talk.says("2"))
    assert ["pick_days_ask"] == said(Talk(facts(ALONE), talk_in(State.DAYS)).says("2"))


def test_on_a_shared_phone_a_weight_is_asked_about_as_ever() -> None:
    """The question was put to one of them; a harvest may be the other's."""
    talk = Talk(
        facts(NEEMA, ASHA),
        Conversation(state=State.ESTIMATE, data={"on": COMING.on.isoformat()}, farmer_id=1),
    )

    assert ["for_whom"] == said(talk.says("harvest 4"))
