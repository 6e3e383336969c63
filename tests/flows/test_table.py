"""The table of the conversation: every question can be asked, answered and left, and every text is answered."""

import re
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

import flows
from flows.answers import ANSWERS
from flows.catalogue import load_catalogue
from flows.effects import Decline, Erase, SaveQuestion, Say, SendAlert, StopPhone, Unlink
from flows.facts import FarmerState, Saved, SavedKind
from flows.inputs import Input
from flows.promised import Kind
from flows.states import State
from flows.table import COMMANDS, LOOSE, row
from flows.texts import TEXTS
from flows.trading import Basket, CostKind, Purse, Quoted, YearTold
from flows.wording import Wording
from tests.talking import COMING, DESK, HELD, NEEMA, SAVED, TODAY, Talk, facts, said, talk_in

WORDING = Wording(load_catalogue())
SOLD = Saved(kind=SavedKind.SALE, id=91, farmer_id=1, on=TODAY, grams=12_000, minor=30_000)
PAID = Saved(kind=SavedKind.COST, id=92, farmer_id=1, on=TODAY, minor=15_000, cost=CostKind.MANURE)
SPRAYED = Saved(kind=SavedKind.SPRAY, id=90, farmer_id=1, on=TODAY)
PURSE = Purse(
    quotes=(Quoted(market="Soko Kuu", crop_class="large", minor=2_500, on=TODAY),),
    kilo_prices=(),
    year=YearTold(picked=30_000, plants=400, sold=12_000, money_in=30_000, money_out=45_000, months=2),
    baskets=(Basket(on=TODAY, grams=12_000, came=12_500, minor=30_000),),
)
PENDING = facts(replace(NEEMA, state=FarmerState.PENDING))
# One text for every kind of input, and some that several questions understand differently.
TEXTS_IN = (
    *(
        "JOIN",
        "JOIN Rehema 300 12/10/2026 Zaruvi",
        "harvest 12",
        "harvest 500",
        "harvest 0",
        "harvest",
        "harvest 12 g",
        "harvest 11,250",
        "harvest 1,250 1/10",
    ),
    *(
        "done",
        "done 1",
        "done 2",
        "done 3",
        "jobs",
        "jobs 2",
        "jobs 3",
        "total",
        "undo",
        "stop",
        "cancel",
        "help",
    ),
    *("yes", "no", "ask", "ask why", "1", "2", "3", "5", "12.5", "12 kg", "0", "99"),
    *(
        "Rehema",
        "12/12",
        "12/10/2026",
        "1/1/2019",
        "1/1/2030",
        "Ketumali",
        "hello",
        "why is it?",
        "kiswahili",
    ),
    *(
        "not yet",
        "not yet 1",
        "not yet 9",
        "need help",
        "need help 2",
        "language",
        "english",
        "days",
        "pause",
    ),
    *(
        "stop alerts",
        "alerts",
        "who are you",
        "records",
        "wrong number",
        "understood",
        "1 4",
        "monday",
        "help 2",
    ),
    *(
        "asante",
        "habari",
        "sijavuna",
        "8 leo na 6 jana",
        "no its 8.5 not 8",
        "no 9",
        "details",
        "done all",
        "done weeds",
        "-5",
    ),
    *("estimate 12", "estimate", "kadirio hakuna", "none", "12 kg kesho", "estimate 90", "estimate 2 or 3"),
    *("water", "maji debe 20", "water drip 2", "rain 12", "mvua 8 jana", "rain", "rain 400"),
    *(
        "sprayed",
        "sprayed 7",
        "sprayed 7 1/11",
        "sprayed tomorrow",
        "sprayed, label not known",
        "siku 14",
        "sijui",
    ),
    *(
        "sold",
        "sold 12 kg 30000",
        "sold 12 kg 2500 each",
        "nimeuza kilo 12 jumla 30000",
        "sold 12 kg 30000 last week",
    ),
    *(
        "sold 1 kg 99999999999",
        "cost manure 15000",
        "cost 15000",
        "cost",
        "gharama mbolea 15000 wiki iliyopita",
    ),
    *("cost manure 0", "price", "bei", "my year", "mwaka", "help 3", "for all of them", "kila kilo"),
    *("counts", "warn frost tomorrow -2 Ketumali", "warn", "onya baridi kesho"),
    *("poison", "bitten by a snake", "i want to die", "", "*", "harvest 12 tomorrow", "harvest 12 1/10"),
)
WAYS_IN = {
    State.JOIN_LANGUAGE: (facts(), ("hello",)),
    State.JOIN_NAME: (facts(), ("hello", "1")),
    State.JOIN_PLANTS: (facts(), ("JOIN Rehema",)),
    State.JOIN_DATE: (facts(), ("JOIN Rehema 300",)),
    State.JOIN_WHICH_DATE: (facts(), ("JOIN Rehema 300 12/12",)),
    State.JOIN_DISTRICT: (facts(), ("JOIN Rehema 300 12/10/2026",)),
    State.CONSENT: (facts(), ("JOIN Rehema 300 12/10/2026 Zaruvi",)),
    State.JOBS: (facts(NEEMA), ("jobs",)),
    State.SCOUT: (facts(NEEMA), ("jobs 2",)),
    State.KILOS: (facts(NEEMA), ("jobs 3",)),
    State.VESSEL_KILOS: (facts(NEEMA), ("harvest 2 baskets",)),
    State.ESTIMATE: (facts(replace(NEEMA, coming=COMING)), ("estimate",)),
    State.BARE_WEIGHT: (facts(NEEMA), ("12.5",)),
    State.UNUSUAL: (facts(NEEMA), ("harvest 30",)),
    State.ZERO: (facts(NEEMA), ("harvest 0",)),
    State.WHICH_KG: (facts(NEEMA), ("harvest 12 g",)),
    State.AGAIN: (facts(NEEMA), ("harvest 12 22/11",)),
    State.SPRAY_DAYS: (facts(NEEMA), ("sprayed",)),
    State.SPRAY_ORDER: (facts(NEEMA), ("sprayed 7 22/11",)),
    State.SALE_WORTH: (facts(NEEMA), ("sold 12 kg 30000",)),
    State.SALE_SAME: (facts(replace(NEEMA, purse=PURSE)), ("sold 5 kg 12500 for all",)),
    State.COST_KIND: (facts(NEEMA), ("cost 15000",)),
    State.WHOM: (facts(NEEMA, replace(NEEMA, id=2, name="Asha")), ("harvest 12",)),
    State.STOP_OR_UNDO: (facts(NEEMA), ("cancel",)),
    State.QUESTION: (facts(NEEMA), ("ask",)),
    State.MENU: (facts(NEEMA), ("hm",)),
    State.LANGUAGE: (facts(NEEMA), ("language",)),
    State.DAYS: (facts(NEEMA), ("days",)),
    State.TEXT_DAY: (facts(NEEMA), ("days", "1")),
    State.PICK_DAYS: (facts(NEEMA), ("days", "2")),
    State.DETAILS: (facts(NEEMA), ("details",)),
    State.NEW_NAME: (facts(NEEMA), ("details", "1")),
    State.NEW_PLANTS: (facts(NEEMA), ("details", "2")),
    State.NEW_DATE: (facts(NEEMA), ("details", "3")),
    State.NEW_DATE_SURE: (facts(NEEMA), ("details", "3", "12/10/2026")),
    State.RECORDS: (facts(NEEMA), ("records",)),
    State.ERASE: (facts(NEEMA), ("records", "2")),
    State.WRONG_NUMBER: (facts(NEEMA), ("wrong number",)),
    State.PLANT_COUNT: (facts(NEEMA), ("counted",)),
    State.COUNT_SURE: (facts(NEEMA), ("counted 9",)),
    State.OFFER: (facts(desk=DESK), ("warn frost tomorrow -2 Ketumali",)),
}
WAYS_OUT = {
    **{state: ("1", "Rehema", "300", "12/10/2026", "Zaruvi", "yes") for state in WAYS_IN if "join" in state},
    State.CONSENT: ("yes",),
    State.KILOS: ("12.5",),
    State.MENU: ("4", "total"),
    State.SCOUT: ("5", "done 1", "stop"),
    State.JOBS: ("stop",),
    State.WHOM: ("1",),
    State.QUESTION: ("why",),
    State.DAYS: ("1", "5"),
    State.PICK_DAYS: ("1 4",),
    State.DETAILS: ("1", "Mama Tatu"),
    State.NEW_NAME: ("Sunday",),
    State.NEW_PLANTS: ("350",),
    State.NEW_DATE: ("12/10/2026", "yes"),
    State.NUDGE: ("2",),
    State.ALERT: ("1", "stop"),
    State.OFFER: ("2",),
    State.PLANT_COUNT: ("1", "2"),
}


def test_every_state_has_its_row_of_answers() -> None:
    """A question without a row could be opened and never be answered."""
    assert set(State) == set(ANSWERS)


@pytest.mark.parametrize("state", WAYS_IN)
def test_every_question_can_be_asked(state: State) -> None:
    """Each state is reached by texts a farmer sends, but for four that only texts of ours open."""
    known, texts = WAYS_IN[state]
    talk = Talk(facts=known)
    for words in texts:
        talk.says(words)

    assert state is talk.conversation.state
    assert set(State) - set(WAYS_IN) == {
        State.IDLE,
        State.FLOWERS_STAY,
        State.NUDGE,
        State.ALERT,
        State.BASKET_SURE,
    }


@pytest.mark.parametrize("state", [state for state in State if state is not State.IDLE])
def test_every_question_can_be_left(state: State) -> None:
    """Answering it leads back to where nothing is open, without waiting for 48 hours."""
    known = facts(replace(NEEMA, coming=COMING))
    talk = Talk(facts=PENDING if state is State.CONSENT else known, conversation=talk_in(state))
    for words in WAYS_OUT.get(state, ("1",)):
        if talk.conversation.state is State.CONSENT:
            talk = replace(talk, facts=PENDING, conversation=talk_in(State.CONSENT))
        talk.says(words)

    assert State.IDLE is talk.conversation.state


@pytest.mark.parametrize("state", State)
@pytest.mark.parametrize("word", ["STOP", "acha", "Stopp", "sitisha", "st0p", "nitoe"])
def test_stop_works_in_every_state(state: State, word: str) -> None:
    """Whatever is open: the texts end, nothing else is touched, nothing stays open."""
    for known in (facts(NEEMA), facts(), facts(NEEMA, replace(NEEMA, id=2, name="Asha"))):
        turn = Talk(facts=known, conversation=talk_in(state)).says(word)

        assert [StopPhone, Say] == [type(effect) for effect in turn.effects]
        assert ["stopped"] == said(turn)
        assert State.IDLE is turn.conversation.state


@pytest.mark.parametrize("state", State)
def test_one_ends_no_texts_whatever_is_asked(state: State) -> None:
    """A finger's habit stops nothing, removes nothing and cuts nobody off: wherever that is asked, 1 keeps it."""
    for known in (facts(NEEMA), facts(), PENDING, facts(NEEMA, replace(NEEMA, id=2, name="Asha"))):
        for words in ("1", "one", "moja"):
            turn = Talk(facts=known, conversation=talk_in(state)).says(words)

            assert not {StopPhone, Erase, Unlink, Decline} & {type(effect) for effect in turn.effects}


@pytest.mark.parametrize("state", [State.STOP_OR_UNDO, State.ERASE, State.WRONG_NUMBER])
def test_two_ends_texts_where_that_is_asked(state: State) -> None:
    """The same number in each of these questions."""
    turn = Talk(conversation=talk_in(state)).says("2")

    assert {StopPhone, Erase, Unlink} & {type(effect) for effect in turn.effects}


@pytest.mark.parametrize("state", State)
@pytest.mark.parametrize(
    ("words", "text_id"),
    [
        ("he drank poison", "emergency"),
        ("bitten by a snake", "emergency_snake"),
        ("panga limemkata mkono", "emergency_hurt"),
        ("there was a road accident", "emergency_unclear"),
        ("kujiua", "distress"),
    ],
)
@pytest.mark.parametrize("number", ["+255123456789", None], ids=["with-a-number", "without"])
def test_an_alarm_is_answered_in_every_state(
    state: State, words: str, text_id: str, number: str | None
) -> None:
    """First aid comes at once, outside every limit, and the open question is not lost."""
    talk = talk_in(state)

    turn = Talk(facts=facts(NEEMA, emergency_number=number), conversation=talk).says(words)

    assert [SaveQuestion, Say] == [type(effect) for effect in turn.effects]
    assert [text_id if number else f"{text_id}_no_number"] == said(turn)
    assert ["emergency"] == [effect.kind for effect in turn.effects if isinstance(effect, Say)]
    assert talk == turn.conversation


@pytest.mark.parametrize("words", TEXTS_IN)
def test_every_text_in_every_state_is_answered_in_words_that_fit(words: str) -> None:
    """No text is met with an error, and each answer can be said in both languages with the values it is given."""
    people = (
        facts(NEEMA),
        facts(replace(NEEMA, jobs=()), saved=SAVED),
        facts(HELD, saved=SPRAYED),
        facts(replace(HELD, jobs=()), saved=SOLD),
        facts(replace(NEEMA, purse=PURSE), saved=PAID),
        facts(NEEMA, replace(NEEMA, id=2, name="Asha"), saved=SAVED),
        facts(),
        PENDING,
        facts(desk=DESK),
        facts(replace(NEEMA, state=FarmerState.STOPPED), stopped=True),
    )
    turns = {
        (state, whose): Talk(facts=known, conversation=talk_in(state)).says(words)
        for state in State
        for whose, known in enumerate(people)
    }
    says = {where: [one for one in turn.effects if isinstance(one, Say)] for where, turn in turns.items()}
    # What came of an officer's warning is told when it is written.
    told_later = {
        where for where, turn in turns.items() if any(isinstance(one, SendAlert) for one in turn.effects)
    }
    silent = {where for where, spoken in says.items() if not spoken} - told_later

    assert set() == silent or words in {"yes", "no", "understood"}
    for phrase in {repr(one.phrase): one.phrase for spoken in says.values() for one in spoken}.values():
        assert {WORDING.write(phrase, language) for language in ("en", "sw")}


def test_yes_and_no_and_digits_mean_nothing_without_a_question() -> None:
    """With nothing open a yes is politeness, and a digit is asked about."""
    turns = {words: Talk().says(words) for words in ("yes", "no", "3", "7")}

    assert [] == [effect for words in ("yes", "no") for effect in turns[words].effects]
    assert ["not_understood"] * 2 == [text for words in ("3", "7") for text in said(turns[words])]


def test_every_kind_of_input_has_a_row_in_every_state() -> None:
    """What is no answer to a question is a command or loose words; there is no third."""
    assert set(get_args(Input)) == set(COMMANDS) | set(LOOSE)
    assert not set(COMMANDS) & set(LOOSE)
    assert all(row(state, kind) for state in State for kind in get_args(Input))


def test_every_text_is_said_by_somebody() -> None:
    """A text in the catalogue that no line of ours names could be read by nobody, nor one named be missing."""
    package = Path(flows.__file__).parent
    code = "\n".join(
        path.read_text("utf-8")
        for path in sorted(package.parent.glob("*/**/*.py"))
        if "tests" not in path.parts and path.name != "texts.py"
    )
    named = set(re.findall(r'"([a-z_][a-z_0-9.]*)"', code))
    whole = {text_id for text_id, text in TEXTS.items() if text.kind in {Kind.TEXT, Kind.FIRST_AID}}
    built = {text_id for text_id in whole if text_id.startswith("task.")}
    ended = {f"{text_id}_no_number" for text_id in named}

    assert set() == whole - built - named - ended
