"""Whatever a question of ours offers is taken as its answer: the number, the number in words, the words behind it."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from flows.catalogue import read_catalogues
from flows.effects import SaveDone, SaveScout, SetDays
from flows.facts import FarmerState
from flows.moves.jobs import WHICH
from flows.moves.turn import Turn
from flows.offers import QUESTIONS, offers_in
from flows.promised import Kind
from flows.reader.pack import Intent
from flows.states import Conversation, State
from flows.texts import TEXTS
from tests.talking import ASHA, CLERK, DATA, DESK, NEEMA, PACKS, Talk, facts, said, talk_in

CATALOGUES = read_catalogues()
LANGUAGES = sorted(CATALOGUES)
NUMBERS = {
    "en": ("one", "two", "three", "four", "five", "six", "seven", "eight"),
    "sw": ("moja", "mbili", "tatu", "nne", "tano", "sita", "saba", "nane"),
}
# Questions answered by yes and no, which are words of their own.
YES_OR_NO = {
    State.CONSENT: ("welcome_consent", "welcome_back_consent", "consent_unclear"),
    State.BARE_WEIGHT: ("bare_weight",),
    State.NEW_DATE_SURE: ("date_sure", "date_sure_ahead"),
    State.OFFER: ("officer_offer", "officer_unclear"),
    State.BASKET_SURE: ("basket_sure", "basket_unclear"),
    State.COUNT_SURE: ("count_sure",),
    State.SPRAY_ORDER: ("spray_hold_order", "spray_unknown_order", "spray_over_order", "spray_order"),
}

# Questions that are put to officers and clerks.
AT_WORK = frozenset({State.OFFER, State.BASKET_SURE})


def offered() -> Iterator[tuple[str, State, str, int, str]]:
    """Return language, question, its text, number and words of every answer that our texts offer."""
    for state, text_ids in {**QUESTIONS, **YES_OR_NO}.items():
        for language in LANGUAGES:
            for text_id in text_ids:
                text = CATALOGUES[language][text_id].text
                for offer in offers_in(text, PACKS.lexicon(language)):
                    # In the order they are written in; of "1 YES to send it" the yes.
                    words = sorted(offer.words, key=text.casefold().index)
                    plain = [word for word in words if state not in YES_OR_NO or is_yes_or_no(word)]
                    if plain:
                        yield language, state, text_id, offer.number, " ".join(plain)


def is_yes_or_no(word: str) -> bool:
    """Return whether a word is one of the two."""
    command = PACKS.lexicon(None).commands.get(word)
    return command is not None and command.intent in {Intent.YES, Intent.NO}


CASES = sorted(set(offered()))


def answered(state: State, text_id: str, language: str, words: str) -> tuple[list[str], list[str], State]:
    """Return what an answer leads to: the texts, the effects, and the open question."""
    farmer = replace(NEEMA, language=language)
    if state is State.CONSENT:
        farmer = replace(farmer, state=FarmerState.PENDING)
    known = facts(farmer) if state not in AT_WORK else facts(desk=DESK, clerk=CLERK)
    data = dict(DATA.get(state, {}))
    if state is State.CONSENT:
        data["language"] = language
    if state is State.UNUSUAL:
        data["choices"] = [*(125_000, 12_500, 1_250)[: QUESTIONS[state].index(text_id) + 1]]
    turn = Talk(known, Conversation(state=state, data=data, farmer_id=talk_in(state).farmer_id)).says(words)
    return said(turn), [type(effect).__name__ for effect in turn.effects], turn.conversation.state


@pytest.mark.parametrize(("language", "state", "text_id", "number", "words"), CASES)
def test_the_words_of_an_answer_do_what_its_number_does(
    language: str, state: State, text_id: str, number: int, words: str
) -> None:
    """A farmer need not know that a number is meant."""
    expected = answered(state, text_id, language, str(number))

    assert expected == answered(state, text_id, language, words)
    assert expected == answered(state, text_id, language, f"{number} {words}")
    if number:
        assert expected == answered(state, text_id, language, NUMBERS[language][number - 1])


def test_no_question_is_forgotten() -> None:
    """Every text that offers a first and a second answer is known here."""
    known = {text_id for texts in (*QUESTIONS.values(), *YES_OR_NO.values()) for text_id in texts}
    asking = {
        text_id
        for text_id, text in TEXTS.items()
        if text.kind is Kind.TEXT
        and {1, 2} <= {one.number for one in offers_in(CATALOGUES["en"][text_id].text, PACKS.lexicon("en"))}
    }

    assert set() == asking - known
    assert len(LANGUAGES) * len(known) <= len(CASES)


@pytest.mark.parametrize(
    ("state", "words", "number"),
    [
        (State.SCOUT, "webs", 1),
        (State.SCOUT, "utando wa buibui", None),
        (State.SCOUT, "ukungu", 3),
        (State.SCOUT, "flies", 4),
        (State.SCOUT, "on fruit", None),
        (State.SCOUT, "slugs and flies", None),
        (State.SCOUT, "sijaona konokono", None),
        (State.NUDGE, "needed", None),
        (State.NUDGE, "kesho tafadhali", 2),
        (State.NUDGE, "3 tomorrow", None),
        (State.NUDGE, "tomorrow?", None),
        (State.KILOS, "hakuna", 0),
        (State.STOP_OR_UNDO, "no", None),
    ],
)
def test_some_of_the_words_are_enough_where_they_fit_one_answer(
    state: State, words: str, number: int | None
) -> None:
    """What fits two answers, leaves a "not" out or says something else is asked again, and the question stays."""
    turn = Talk(conversation=talk_in(state)).says(words)

    if number is None:
        assert state is turn.conversation.state
    else:
        assert said(Talk(conversation=talk_in(state)).says(str(number))) == said(turn)


@pytest.mark.parametrize("state", [State.SCOUT, State.FLOWERS_STAY, State.NUDGE, State.KILOS, State.AGAIN])
def test_words_that_are_no_answer_leave_the_question_open(state: State) -> None:
    """It is asked once more, and the answer still counts afterwards."""
    talk = Talk(conversation=talk_in(state))
    turn = talk.says("mvua ilinyesha sana")

    assert (state, 1) == (turn.conversation.state, turn.conversation.misses)


def test_weekdays_are_taken_as_they_are_offered() -> None:
    """By number, by number word, by the short name of the list and by the whole name."""
    for language in LANGUAGES:
        for day in range(7):
            short = CATALOGUES[language][f"weekday.{day}"].text
            for words in (str(day + 1), short, f"{day + 1} {short}"):
                assert [day] == [one.text_day for one in _days(State.TEXT_DAY, words)]
    for words in ("1 4", "Mon Thu", "monday and thursday", "moja na nne", "Jtatu na Alh", "one and four"):
        assert [frozenset({0, 3})] == [one.pick_days for one in _days(State.PICK_DAYS, words)]


def _days(state: State, words: str) -> list[SetDays]:
    turn = Talk(conversation=talk_in(state)).says(words)
    return [effect for effect in turn.effects if isinstance(effect, SetDays)]


def _done(turn: Turn) -> list[str]:
    return [effect.key for effect in turn.effects if isinstance(effect, SaveDone)]


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        ("TAYARI Magugu", ["k1"]),
        ("done weeds", ["k1"]),
        ("weeds done", ["k1"]),
        ("done 1", ["k1"]),
        # A picking is done with its weight.
        ("tayari zote", ["k1", "k2"]),
        ("done all", ["k1", "k2"]),
        ("tayari magugu na wadudu", ["k1", "k2"]),
        ("done mites", ["k2"]),
        ("done weeds on the road", []),
    ],
)
def test_a_job_is_finished_by_its_name(words: str, keys: list[str]) -> None:
    """In either language; a word that is of no job, or of two, is asked about."""
    assert keys == _done(Talk().says(words))


@pytest.mark.parametrize(
    ("words", "keys"), [("weeds", ["k1"]), ("magugu", ["k1"]), ("1", ["k1"]), ("hm", [])]
)
def test_which_job_is_answered_with_its_name(words: str, keys: list[str]) -> None:
    """Asked which job is finished, a name says it; under any other list it does not."""
    which = Conversation(state=State.JOBS, data={WHICH: True}, farmer_id=NEEMA.id)
    listed = Talk(conversation=talk_in(State.JOBS)).says(words)

    assert keys == _done(Talk(conversation=which).says(words))
    assert (["k1"] if words == "1" else []) == _done(listed)


def test_people_districts_and_days_are_taken_as_they_are_offered() -> None:
    """Lists of things that have a name take the name as well as the number."""
    for words in ("2", "Asha", "two"):
        assert said(Talk(facts(NEEMA, ASHA), talk_in(State.WHOM)).says(words))[0].startswith("harvest_noted")
    assert ["welcome_consent"] == said(Talk(facts(), talk_in(State.JOIN_DISTRICT)).says("ndaliro"))
    for words in ("1", "Fri 12/12/2025", "12/12/2025"):
        assert ["join_ask_district"] == said(Talk(facts(), talk_in(State.JOIN_WHICH_DATE)).says(words))


@pytest.mark.parametrize(
    ("words", "text_id"), [("12.5", "harvest_noted"), ("125", "harvest_noted"), ("7", "harvest_choose")]
)
def test_a_weight_that_was_offered_may_be_sent_itself(words: str, text_id: str) -> None:
    """125, 12.5 or 1.25 kilos: the weight says as much as its number."""
    assert [text_id] == said(Talk(conversation=talk_in(State.UNUSUAL)).says(words))


def test_what_was_seen_is_kept() -> None:
    """The finding behind the word is stored."""
    turn = Talk(conversation=talk_in(State.SCOUT)).says("konokono")

    assert ["slugs"] == [effect.finding.value for effect in turn.effects if isinstance(effect, SaveScout)]
