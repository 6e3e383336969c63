"""Steps of the conversation that no story reaches, or reaches by a long way only."""

from dataclasses import replace
from datetime import timedelta

import pytest

from flows.effects import AddFarmer, AskedConsent, Forget, SaveDone, SaveQuestion, Say
from flows.facts import FarmerState
from flows.inputs import Help, Undo
from flows.moves import consent, harvests
from flows.moves.turn import Moment
from flows.reader import Reading
from flows.slots import Slots
from flows.states import IDLE, Conversation, State
from flows.weighed import SaveHarvest
from tests.talking import ASHA, JOBS, NEEMA, TODAY, Talk, facts, said, talk_in

BOTH = facts(NEEMA, ASHA)
PENDING = replace(NEEMA, state=FarmerState.PENDING)


def test_whose_weight_it_is_is_asked_and_kept_with_its_day() -> None:
    """The text that waits is read again as of the day it came, for the farmer who is named."""
    talk = Talk(facts=BOTH)
    asked = talk.says("harvest 4")
    talk.facts = replace(BOTH, on=TODAY + timedelta(days=1))

    turn = talk.says("2")

    assert ["for_whom"] == said(asked)
    assert [(2, TODAY)] == [(one.farmer_id, one.on) for one in turn.effects if isinstance(one, SaveHarvest)]


def test_another_text_takes_the_place_of_the_one_that_waits() -> None:
    """Who is asked "for whom?" and sends something else is asked for that."""
    talk = Talk(facts=BOTH, conversation=Conversation(state=State.JOBS, farmer_id=1))
    talk.says("harvest 4")
    talk.says("harvest 5")

    turn = talk.says("Asha")

    assert [5000] == [one.grams for one in turn.effects if isinstance(one, SaveHarvest)]
    assert State.JOBS is turn.conversation.state


@pytest.mark.parametrize("words", ["5", "nobody", "yes", "no"])
def test_for_whom_is_asked_until_it_is_said(words: str) -> None:
    """Neither a number beyond the list nor any other word chooses a farmer."""
    talk = Talk(facts=BOTH)
    talk.says("harvest 4")

    assert ["for_whom_again"] == said(talk.says(words))


def test_done_goes_to_whom_the_list_was_sent_and_a_weight_does_not() -> None:
    """Numbers belong to a list; a weight may be anybody's."""
    under_list = Conversation(state=State.JOBS, farmer_id=1)

    done = Talk(facts=BOTH, conversation=under_list).says("done 1")
    weight = Talk(facts=BOTH, conversation=under_list).says("harvest 4")

    assert ["k1"] == [one.key for one in done.effects if isinstance(one, SaveDone)]
    assert ["for_whom"] == said(weight)


@pytest.mark.parametrize(
    ("state", "text_id"),
    [(FarmerState.STOPPED, "stopped_hint"), (FarmerState.PENDING, "welcome_consent")],
)
def test_a_question_to_one_who_no_longer_takes_part_is_closed(state: FarmerState, text_id: str) -> None:
    """A yes to an old question stores nothing for a farmer who has stopped on another phone."""
    known = facts(replace(NEEMA, state=state))

    turn = Talk(facts=known, conversation=talk_in(State.UNUSUAL)).says("yes")

    assert [text_id] == said(turn)


@pytest.mark.parametrize("words", ["jobs", "7", "hello", "harvest 4", "done"])
def test_who_has_not_said_yes_is_asked_again_with_the_whole_question(words: str) -> None:
    """When the question was forgotten, it comes back in full, with its evidence, and is open again."""
    turn = Talk(facts=facts(PENDING)).says(words)

    assert [AskedConsent, Say] == [type(effect) for effect in turn.effects]
    assert ["welcome_consent"] == said(turn)
    assert (State.CONSENT, 1) == (turn.conversation.state, turn.conversation.farmer_id)


def test_a_late_yes_of_one_who_was_asked_is_asked_again() -> None:
    """The phone's other farmer has talked in between; a yes is then no mere politeness, a no is."""
    known = facts(ASHA, PENDING)

    assert [["welcome_consent"], []] == [said(Talk(facts=known).says(words)) for words in ("yes", "no")]


@pytest.mark.parametrize("words", ["jobs", "7", "hello", "undo"])
def test_while_consent_is_open_only_a_plain_answer_counts(words: str) -> None:
    """Anything else is asked again, briefly."""
    turn = Talk(facts=facts(PENDING), conversation=talk_in(State.CONSENT)).says(words)

    assert ["consent_unclear"] == said(turn)
    assert State.CONSENT is turn.conversation.state


@pytest.mark.parametrize("words", ["jobs", "harvest 4", "yes", "no"])
def test_joining_is_not_lost_to_a_command(words: str) -> None:
    """Who is asked for the plants and sends a command that needs a farmer is asked for the plants again."""
    turn = Talk(facts=facts(), conversation=talk_in(State.JOIN_PLANTS)).says(words)

    assert ["join_plants_again"] == said(turn)
    assert "Rehema" == turn.conversation.text("name")


@pytest.mark.parametrize(
    ("state", "asked"),
    [
        (State.JOIN_NAME, State.JOIN_NAME),
        (State.JOIN_PLANTS, State.JOIN_NAME),
        (State.JOIN_DATE, State.JOIN_PLANTS),
        (State.JOIN_DISTRICT, State.JOIN_DATE),
    ],
)
def test_undo_while_joining_goes_one_question_back(state: State, asked: State) -> None:
    """What was told last is asked for again; before the first answer there is nothing to forget."""
    assert asked is Talk(facts=facts(), conversation=talk_in(state)).says("undo").conversation.state


def test_joining_for_another_on_the_same_phone() -> None:
    """A second farmer is added beside the first, in the language of the word that was used."""
    turn = Talk().says("JIUNGE Rehema 300 12/10/2026 Zaruvi")

    (added,) = [effect for effect in turn.effects if isinstance(effect, AddFarmer)]
    assert ("Rehema", "sw", 300, "Zaruvi") == (added.name, added.language, added.plants, added.district)


def test_joining_anew_before_the_yes_forgets_the_first() -> None:
    """Of two JOINs of one name only the second is kept; another name is another farmer."""
    same = Talk(facts=facts(PENDING)).says("JOIN Neema 500 12/10/2026 Zaruvi")
    other = Talk(facts=facts(PENDING)).says("JOIN Rehema 500 12/10/2026 Zaruvi")

    assert [Forget(farmer_id=1)] == [effect for effect in same.effects if isinstance(effect, Forget)]
    assert [] == [effect for effect in other.effects if isinstance(effect, Forget)]


def test_a_join_without_a_name_goes_on_where_joining_stands() -> None:
    """The word alone does not begin anew what has been told already."""
    talk = talk_in(State.JOIN_DATE)

    turn = Talk(conversation=talk).says("JOIN 12/10/2026 Zaruvi")

    assert [("Rehema", 300)] == [(one.name, one.plants) for one in turn.effects if isinstance(one, AddFarmer)]


def test_numbers_closed_long_ago_are_given_away_last() -> None:
    """A new job takes a number that nobody could confuse with a done one, as long as there is any."""
    full = replace(
        NEEMA,
        jobs=tuple(replace(job, place=None) for job in JOBS),
        answered_places=frozenset({1, 8}),
    )

    turn = Talk(facts=facts(full)).says("jobs")

    (places,) = [effect.places for effect in turn.effects if hasattr(effect, "places")]
    assert (("k2", 1), ("k3", 2), ("k4", 3), ("k1", 9)) == places


def test_a_job_not_listed_yet_is_explained_with_its_number() -> None:
    """The whole text tells the number that DONE will need."""
    turn = Talk().says("jobs 5")

    (say,) = [effect for effect in turn.effects if isinstance(effect, Say)]
    assert ("task.water.text", {"task": 5}) == (say.phrase.text_id, say.phrase.values)


def test_a_look_reported_with_nothing_else_open_closes_the_list() -> None:
    """When the look was the last job, no list waits for numbers."""
    alone = replace(NEEMA, jobs=JOBS[1:2])

    turn = Talk(facts=facts(alone), conversation=talk_in(State.SCOUT)).says("5")

    assert State.IDLE is turn.conversation.state


def test_a_number_with_two_likely_readings_is_asked_again() -> None:
    """30,000 plants can bear 1.25 kg as well as 1,250 kg: neither is chosen."""
    many = facts(replace(NEEMA, plants=30_000))

    bare = Talk(facts=many).says("1,250")
    asked = Talk(facts=many, conversation=talk_in(State.KILOS)).says("1,250")

    assert [["not_understood"], ["ask_kilos"]] == [said(bare), said(asked)]


def test_a_third_failed_answer_reaches_an_officer_once() -> None:
    """Misses are counted in a row; a command in between begins the count anew."""
    talk = Talk(conversation=talk_in(State.ZERO))

    turns = [talk.says(words) for words in ("hm", "hm", "total", "hm", "hm", "hm")]

    assert [0, 0, 0, 0, 0, 1] == [
        sum(isinstance(effect, SaveQuestion) for effect in turn.effects) for turn in turns
    ]


def test_a_move_that_is_called_against_its_row_says_so() -> None:
    """A mistake in the table is a programmer's error with a name, not a wrong answer to a farmer."""
    reading = Reading(input=Help(), slots=Slots(), why=(), language=None)
    moment = Moment(conversation=IDLE, reading=reading, text="help", facts=facts(NEEMA))

    with pytest.raises(TypeError, match="a move for Harvest was given Help"):
        harvests.harvest(moment)
    with pytest.raises(LookupError, match="needs a farmer"):
        consent.agree(replace(moment, reading=replace(reading, input=Undo())))


def test_a_number_with_anothers_name_is_no_answer_to_this_ones_list() -> None:
    """The list was sent to Neema: "asha 2" finishes none of its jobs, and what comes of it is Asha's."""
    talk = Talk(facts=BOTH, conversation=Conversation(state=State.JOBS, farmer_id=1))

    texts = [talk.says(words) for words in ("asha 2", "1", "5")]

    assert [["not_understood"], ["ask_kilos"], ["harvest_noted_first"]] == [said(turn) for turn in texts]
    effects = [effect for turn in texts for effect in turn.effects]
    assert [] == [one.key for one in effects if isinstance(one, SaveDone)]
    assert [(2, 5000)] == [(one.farmer_id, one.grams) for one in effects if isinstance(one, SaveHarvest)]


@pytest.mark.parametrize(
    ("places", "done", "answer", "state"),
    [
        pytest.param((0,), ["k1"], ["done_noted"], State.IDLE, id="one-job"),
        pytest.param((2,), ["k3"], ["ask_kilos"], State.KILOS, id="only-picking"),
        pytest.param((0, 4), ["k1", "k5"], ["done_all_noted"], State.IDLE, id="nothing-to-ask"),
    ],
)
def test_all_done_asks_only_what_its_jobs_ask(
    places: tuple[int, ...], done: list[str], answer: list[str], state: State
) -> None:
    """One job is answered as by its number, a picking asks for its kilos, and others end the talk."""
    mulch = replace(JOBS[0], key="k5", task="mulch", place=5)
    listed = tuple((*JOBS, mulch)[place] for place in places)
    talk = Talk(facts=facts(replace(NEEMA, jobs=listed)), conversation=talk_in(State.JOBS))

    turn = talk.says("done all")

    assert done == [one.key for one in turn.effects if isinstance(one, SaveDone)]
    assert answer == said(turn)
    assert state is turn.conversation.state
