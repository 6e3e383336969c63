"""Short replies a step at a time: a greeting, nothing picked, two days at once, a weight put right, all jobs."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from flows.effects import Say
from flows.facts import Saved, SavedKind
from flows.states import IDLE, State
from flows.weighed import SaveHarvest, VoidHarvest
from tests.talking import NEEMA, SAVED, TODAY, Talk, facts, said, talk_in

YESTERDAY = TODAY - timedelta(days=1)
WROTE_8 = replace(
    NEEMA, weights=replace(NEEMA.weights, by_day={**NEEMA.weights.by_day, TODAY: 8_000}, total=38_000)
)


def saved(turn_of: Talk, words: str) -> list[tuple[int, date, bool]]:
    """Return grams, day and whether in question of the weights that a text keeps."""
    turn = turn_of.says(words)
    return [(one.grams, one.on, one.in_question) for one in turn.effects if isinstance(one, SaveHarvest)]


@pytest.mark.parametrize(
    ("words", "text_id"),
    [("asante", "thanked"), ("thank you", "thanked"), ("habari", "greeted"), ("hello", "greeted")],
)
@pytest.mark.parametrize("state", [State.IDLE, State.KILOS, State.NUDGE, State.JOBS, State.QUESTION])
def test_a_greeting_is_answered_in_few_words(words: str, text_id: str, state: State) -> None:
    """Nobody is told that thanks are not understood, and what was asked stays open."""
    talk = Talk(conversation=talk_in(state) if state is not State.IDLE else IDLE)
    turn = talk.says(words)

    assert [text_id] == said(turn)
    assert state is turn.conversation.state


@pytest.mark.parametrize(("words", "text_id"), [("asante", "who_stranger"), ("habari", "join_ask_language")])
def test_a_stranger_who_greets_is_told_who_we_are(words: str, text_id: str) -> None:
    """A greeting is how a newcomer begins; thanks ask for nothing."""
    assert [text_id] == said(Talk(facts()).says(words))


@pytest.mark.parametrize(
    "words", ["sijavuna", "sikuvuna leo", "hatujavuna", "nothing was ripe", "I did not pick"]
)
def test_nothing_picked_is_a_weight_of_nothing_that_is_asked_about(words: str) -> None:
    """A farmer may mean "not yet" as well: it counts after a yes."""
    talk = Talk()
    turn = talk.says(words)

    assert (["zero_kg"], State.ZERO) == (said(turn), turn.conversation.state)
    assert ["zero_noted"] == said(talk.says("ndiyo"))


@pytest.mark.parametrize(
    ("words", "kept", "text_id"),
    [
        ("8 leo na 6 jana", [(8_000, TODAY, False), (6_000, YESTERDAY, False)], "harvest_noted_two"),
        (
            "harvest yesterday 6, today 8",
            [(6_000, YESTERDAY, False), (8_000, TODAY, False)],
            "harvest_noted_two",
        ),
        ("harvest 8 today and 600 yesterday", [], "harvest_one_by_one"),
        ("harvest 8 today and 6 on 22/11", [], "harvest_one_by_one"),
        ("harvest 8 today and 6 on 1/10", [], "harvest_one_by_one"),
        ("harvest 8 and 6 yesterday", [], "ask_kilos"),
        ("harvest 8 last week", [], "harvest_no_day"),
        ("harvest last week", [], "harvest_no_day"),
        ("harvest 8 31/11", [], "harvest_no_day"),
        ("vuna -5", [], "ask_kilos"),
        ("picked half", [], "ask_kilos"),
        ("picked half a kilo", [(500, TODAY, False)], "harvest_noted"),
    ],
)
def test_each_weight_goes_to_its_own_day_or_is_asked_about(
    words: str, kept: list[tuple[int, date, bool]], text_id: str
) -> None:
    """Two weights are kept at once only where neither has to be asked about; no day and no sign is guessed."""
    assert kept == saved(Talk(), words)
    assert [text_id] == said(Talk().says(words))


@pytest.mark.parametrize(
    ("words", "kept", "text_id"),
    [
        ("no its 9.5 not 8", [(9_500, TODAY, False)], "harvest_noted"),
        ("siyo 8 ni 9.5", [(9_500, TODAY, False)], "harvest_noted"),
        ("no 9.5", [(9_500, TODAY, False)], "harvest_noted"),
        ("its 9.5 not 7", [], "correct_none"),
        ("its 95 not 8", [(95_000, TODAY, True)], "unusual_kg_slip"),
    ],
)
def test_the_last_weight_is_put_right(words: str, kept: list[tuple[int, date, bool]], text_id: str) -> None:
    """The wrong one is taken back and the right one kept for the same day; another one than the last is not guessed."""
    talk = Talk(facts(WROTE_8, saved=SAVED))
    turn = talk.says(words)

    assert [text_id] == said(turn)
    assert kept == [
        (one.grams, one.on, one.in_question) for one in turn.effects if isinstance(one, SaveHarvest)
    ]
    assert ([SAVED.id] if kept else []) == [one.id for one in turn.effects if isinstance(one, VoidHarvest)]


def test_only_the_weight_is_put_right_that_was_wrong() -> None:
    """A second weight of that day stays, so the right one is asked about like any second weight."""
    both = replace(WROTE_8, weights=replace(WROTE_8.weights, by_day={TODAY: 11_000}))
    turn = Talk(facts(both, saved=SAVED)).says("no 9 not 8")

    assert ["harvest_again"] == said(turn)


@pytest.mark.parametrize(
    "last", [None, Saved(kind=SavedKind.JOB, id=7, farmer_id=1, on=TODAY)], ids=["none", "a-job"]
)
def test_without_a_weight_there_is_nothing_to_put_right(last: Saved | None) -> None:
    """The farmer is told what to send instead."""
    assert ["correct_none"] == said(Talk(facts(NEEMA, saved=last)).says("no its 8.5 not 7.5"))


@pytest.mark.parametrize(
    ("words", "quote"),
    [
        pytest.param("blue thing", "blue thing", id="short"),
        pytest.param("blue thing that nobody understands", "blue thing that", id="cut behind a word"),
        pytest.param("blue thing that nose x", "blue thing that nose", id="a word that just fits"),
        pytest.param("b" * 40, "b" * 20, id="one word too long"),
    ],
)
def test_a_quotation_ends_with_a_word(words: str, quote: str) -> None:
    """Half a word reads like a slip of ours."""
    (say,) = [effect for effect in Talk().says(words).effects if isinstance(effect, Say)]

    assert quote == say.phrase.values["text"]
