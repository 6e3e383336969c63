"""Joining and consent a step at a time: what is taken, what is asked again, and to the very limit of each."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from flows.effects import AddFarmer, AskedConsent, Decline, Forget, GiveConsent, Say
from flows.facts import Farmer, FarmerState
from flows.inputs import Precision
from flows.moves.joining import LONGEST_NAME
from flows.states import Conversation, State
from flows.wording import FullDate, Name, Numbered, Phrase
from tests.talking import ASHA, NEEMA, TODAY, Talk, facts, said, talk_in

PENDING = replace(ASHA, state=FarmerState.PENDING)
STOPPED = replace(ASHA, id=3, name="Rehema", state=FarmerState.STOPPED)
# Of the letters of a word that is no name by itself, so that it has to be said twice.
LONG = "leo" * LONGEST_NAME


@pytest.mark.parametrize(
    ("plants", "fits"),
    [
        pytest.param("0", False, id="none"),
        pytest.param("1", True, id="one"),
        pytest.param("100000", True, id="the-most"),
        pytest.param("100001", False, id="one-too-many"),
    ],
)
def test_from_one_plant_to_a_hundred_thousand(plants: str, *, fits: bool) -> None:
    """Told in one text or asked for, the same numbers are taken."""
    at_once = Talk(facts()).says(f"JOIN Neema {plants} 12/10/2026 Ketumali")
    asked = Talk(facts(), talk_in(State.JOIN_PLANTS)).says(plants)

    assert ["welcome_consent" if fits else "join_ask_plants"] == said(at_once)
    assert ["join_ask_date" if fits else "join_plants_again"] == said(asked)


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        pytest.param(-1096, "join_date_too_old", id="the-day-before-the-oldest"),
        pytest.param(-1095, "join_ask_district", id="the-oldest"),
        pytest.param(183, "join_ask_district", id="the-furthest-ahead"),
        pytest.param(184, "join_date_too_far", id="a-day-further"),
    ],
)
def test_the_oldest_and_the_furthest_planting_day(days: int, expected: str) -> None:
    """A stand of 1095 days is still one, and planting may be announced 183 days ahead."""
    planted = TODAY + timedelta(days=days)

    assert [expected] == said(Talk(facts(), talk_in(State.JOIN_DATE)).says(f"{planted:%d/%m/%Y}"))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        pytest.param("good morning", "good morning", id="two-words"),
        pytest.param("leo leo leo leo", "leo leo leo leo", id="four-words"),
        pytest.param("leo leo leo leo leo", None, id="five-words"),
        pytest.param(LONG[:LONGEST_NAME], LONG[:LONGEST_NAME], id="as-long-as-can-be"),
        pytest.param(LONG[: LONGEST_NAME + 1], None, id="too-long"),
        pytest.param("leo-leo", "leo-leo", id="hyphen"),
        pytest.param("leo/leo", None, id="a-mark-no-name-has"),
        pytest.param("3 leo", None, id="a-figure-no-name-has"),
    ],
)
def test_what_looks_like_no_name_is_taken_the_second_time_if_it_can_be_one(
    words: str, name: str | None
) -> None:
    """A name nobody thought of may be told, a sentence or a figure may not stand for one."""
    talk = Talk(facts(), talk_in(State.JOIN_NAME))

    once, twice = said(talk.says(words)), said(talk.says(words))

    assert (["join_ask_name"], ["join_ask_plants" if name else "join_ask_name"]) == (once, twice)
    assert name == talk.conversation.data.get("name")


@pytest.mark.parametrize(
    ("words", "district"),
    [("0", None), ("1", "Zaruvi"), ("4", "Shumbeka"), ("5", None)],
    ids=["none", "first", "last", "beyond"],
)
def test_a_district_is_taken_by_each_number_that_was_offered(words: str, district: str | None) -> None:
    """From the first to the last, and no other."""
    turn = Talk(facts(), talk_in(State.JOIN_DISTRICT)).says(words)
    added = [effect.district for effect in turn.effects if isinstance(effect, AddFarmer)]

    assert ([district] if district else []) == added
    assert ["welcome_consent" if district else "join_district_again"] == said(turn)


def test_how_sure_the_planting_day_is_stays_with_it() -> None:
    """A day that was told roughly is kept as that, though the district is told only later."""
    talk = Talk(facts())
    talk.says("JOIN Neema 400 about 8 months ago")
    turn = talk.says("2")

    (added,) = [effect for effect in turn.effects if isinstance(effect, AddFarmer)]
    assert (Precision.ABOUT, "Ketumali") == (added.planted.precision, added.district)


@pytest.mark.parametrize(
    ("words", "language"),
    [("1", "en"), ("2", "sw"), ("english", "en"), ("kiswahili", "sw"), ("3", None), ("habari", None)],
)
def test_a_stranger_chooses_the_language_by_number_or_name(words: str, language: str | None) -> None:
    """What is neither is asked again; nobody's language is guessed."""
    talk = Talk(facts(), talk_in(State.JOIN_LANGUAGE))
    turn = talk.says(words)

    assert ["join_ask_name" if language else "join_ask_language"] == said(turn)
    assert language == talk.conversation.data.get("language")


def test_what_is_told_along_the_way_is_kept_to_the_end() -> None:
    """Whatever was told first, only what is missing is asked for, and all of it is noted."""
    talk = Talk(facts())

    asked = [said(talk.says(words)) for words in ("JOIN", "Zuhura Ketumali", "300")]
    turn = talk.says("12/10/2026")

    (added,) = [effect for effect in turn.effects if isinstance(effect, AddFarmer)]
    assert [["join_ask_name_first"], ["join_ask_plants"], ["join_ask_date"]] == asked
    assert ("Zuhura", 300, date(2026, 10, 12), "Ketumali") == (
        added.name,
        added.plants,
        added.planted.on,
        added.district,
    )


@pytest.mark.parametrize(
    ("words", "planted"),
    [
        pytest.param("1", date(2025, 12, 12), id="the-first"),
        pytest.param("2", date(2026, 12, 12), id="the-second"),
        pytest.param("10 months ago", date(2026, 1, 25), id="neither"),
        pytest.param("3", None, id="none-that-was-offered"),
    ],
)
def test_of_two_days_one_is_chosen(words: str, planted: date | None) -> None:
    """A date without a year may be past or to come: both are offered, the earlier one first."""
    talk = Talk(facts())
    (offer,) = [one for one in talk.says("JOIN Neema 400 12/12 Ketumali").effects if isinstance(one, Say)]
    turn = talk.says(words)

    days = {"date_1": FullDate(date(2025, 12, 12)), "date_2": FullDate(date(2026, 12, 12))}
    assert Phrase("join_which_date", days) == offer.phrase
    assert ([planted] if planted else []) == [
        one.planted.on for one in turn.effects if isinstance(one, AddFarmer)
    ]
    assert ["welcome_consent" if planted else "join_which_date"] == said(turn)
    again = [one.phrase for one in turn.effects if isinstance(one, Say)]
    assert planted or [offer.phrase] == again


def test_districts_are_offered_by_their_numbers() -> None:
    """The numbers that are shown are the ones that are taken, also when they are shown again."""
    talk = Talk(facts())
    turns = [talk.says(words) for words in ("JOIN Neema 400 12/10/2026", "9")]

    offers = [one.phrase for turn in turns for one in turn.effects if isinstance(one, Say)]
    shown = {"districts": Numbered(((1, "Zaruvi"), (2, "Ketumali"), (3, "Ndaliro"), (4, "Shumbeka")))}
    assert [Phrase("join_ask_district", shown), Phrase("join_district_again", shown)] == offers


def test_the_words_that_ask_for_consent_are_kept_as_they_are_said() -> None:
    """Who asks and who is asked stand in them, for a newcomer as for one who comes back."""
    new = Talk(facts()).says("JOIN Neema 400 12/10/2026 Ketumali")
    back = Talk(facts(STOPPED)).says("JOIN")

    for turn, text_id, name in ((new, "welcome_consent", "Neema"), (back, "welcome_back_consent", "Rehema")):
        (kept,) = [one for one in turn.effects if isinstance(one, AskedConsent)]
        (told,) = [one for one in turn.effects if isinstance(one, Say)]
        assert Phrase(text_id, {"name": Name(name), "svc": "Zaruvi Berry Programme"}) == kept.phrase
        assert (told.phrase, told.language) == (kept.phrase, kept.language)


@pytest.mark.parametrize(
    ("words", "expected"), [("JOIN neema", "already_joined"), ("JOIN Zuhura", "join_ask_plants")]
)
def test_a_name_says_who_is_meant(words: str, expected: str) -> None:
    """However it is written a known name is that farmer, and another one is a newcomer."""
    assert [expected] == said(Talk(facts(NEEMA)).says(words))


def test_undo_takes_back_one_answer_only() -> None:
    """What was told before the last answer stays told."""
    talk = Talk(facts(), talk_in(State.JOIN_DISTRICT))
    turn = talk.says("undo")

    assert ["join_ask_date"] == said(turn)
    assert 300 == talk.conversation.data["plants"]


@pytest.mark.parametrize(
    ("first", "asked", "kept"),
    [
        pytest.param("JOIN Asha Ndaliro", "join_ask_name", {"district"}, id="at-the-plants"),
        pytest.param("JOIN Asha 300 Ndaliro", "join_ask_plants", {"name", "district"}, id="at-the-date"),
        pytest.param(
            "JOIN Asha 300 15/12 Ndaliro", "join_ask_date", {"name", "plants", "district"}, id="which-date"
        ),
        pytest.param("JOIN 300 Ndaliro", "join_ask_name", {"plants", "district"}, id="at-the-first"),
    ],
)
def test_undo_keeps_what_was_told_before_its_turn(first: str, asked: str, kept: set[str]) -> None:
    """The question before the open one is asked again, and a district told early is not asked for a second time."""
    talk = Talk(facts())
    talk.says(first)
    turn = talk.says("undo")

    assert [asked] == said(turn)
    assert kept == {slot for slot in ("name", "plants", "district") if slot in talk.conversation.data}


@pytest.mark.parametrize(
    ("farmers", "expected", "whose"),
    [
        pytest.param((NEEMA,), "already_joined", None, id="the-only-one-has-joined"),
        pytest.param((NEEMA, PENDING), "welcome_consent", PENDING.id, id="before-one-who-has-joined"),
        pytest.param((PENDING, STOPPED), "welcome_back_consent", STOPPED.id, id="who-stopped-comes-first"),
    ],
)
def test_a_bare_join_is_for_whom_it_can_do_most(
    farmers: tuple[Farmer, ...], expected: str, whose: int | None
) -> None:
    """On a shared phone the word alone means who stopped, then who has not answered, then who has joined."""
    talk = Talk(facts(*farmers))

    assert [expected] == said(talk.says("JOIN"))
    assert whose == talk.conversation.farmer_id


def test_a_join_under_another_name_forgets_nobody() -> None:
    """Only who is told anew takes the place of what nobody has agreed to."""
    same = Talk(facts(PENDING)).says("JOIN asha 500 12/10/2026 Ndaliro")
    another = Talk(facts(PENDING)).says("JOIN Zuhura 500 12/10/2026 Ndaliro")

    assert [Forget(farmer_id=PENDING.id)] == [one for one in same.effects if isinstance(one, Forget)]
    assert [] == [one for one in another.effects if isinstance(one, Forget)]


CONSENTS = {
    # by name: the farmer's state, days from today to planting, the answer, the text, and what follows
    "a yes": (FarmerState.PENDING, -1, "1", "joined", GiveConsent),
    "a yes on the day of planting": (FarmerState.PENDING, 0, "1", "joined", GiveConsent),
    "a yes before planting": (FarmerState.PENDING, 1, "1", "joined_ahead", GiveConsent),
    "a no": (FarmerState.PENDING, -1, "2", "declined", Decline),
    "a no of one who stopped": (FarmerState.STOPPED, -1, "2", "stopped", Decline),
    "no answer": (FarmerState.PENDING, -1, "3", "consent_unclear", None),
}


@pytest.mark.parametrize(
    ("state", "planted", "words", "text_id", "effect"), CONSENTS.values(), ids=CONSENTS.keys()
)
def test_only_a_plain_answer_decides_about_consent(
    state: FarmerState, planted: int, words: str, text_id: str, effect: type | None
) -> None:
    """One is yes, two is no, and all else is asked again."""
    farmer = replace(NEEMA, state=state, planted_on=TODAY + timedelta(days=planted))
    talk = Talk(facts(farmer), Conversation(state=State.CONSENT, data={"language": "en"}, farmer_id=NEEMA.id))

    turn = talk.says(words)

    assert [text_id] == said(turn)
    assert ([effect] if effect else []) == [
        type(one) for one in turn.effects if isinstance(one, GiveConsent | Decline)
    ]
