"""The guards: which texts are answered, and that no machine behind a number can run up a bill."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from service.core.gateway import InboundText
from service.core.phone import BadNumber
from service.use_cases.receiving import MOST_A_DAY, store
from service.use_cases.tools import ReplyLimits
from tests.village import SERVICE_NUMBER, Phone, Village, build_village

NOTICE = "Too many texts came from this number"


@pytest.fixture
def village(database_url: str) -> Iterator[Village]:
    """A village in which the guards keep the limits of real use."""
    made = build_village(database_url, limits=ReplyLimits())
    yield made
    made.database.close()


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer who joined some hours ago."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.clock.advance(timedelta(hours=2))
    return phone


def replied(village: Village, since: int = 2) -> list[object]:
    """Return what became of the answers, oldest first; the two texts of joining are left out."""
    rows = village.rows("SELECT replied FROM inbound ORDER BY id")
    return [row["replied"] for row in rows][since:]


def flood(phone: Phone, texts: int = 9) -> list[str]:
    """Text one command after the other in one minute, no more than three alike; return the answers."""
    return [phone.says(f"jobs {place}") for place in range(1, texts + 1)]


def test_a_flood_is_answered_five_times_then_once_more_and_then_not(village: Village, phone: Phone) -> None:
    """Five answers in an hour, one notice, silence; an hour later answers come again."""
    answers = flood(phone)

    assert [*["counted"] * 5, "notice", *["silent"] * 3] == replied(village)
    assert [False] * 5 + [True] == [NOTICE in answer for answer in answers[:6]]
    assert [""] * 3 == answers[6:]

    village.clock.advance(timedelta(minutes=61))
    assert "HARVEST" in phone.says("help")


def test_what_is_not_answered_is_kept_and_acted_upon(village: Village, phone: Phone) -> None:
    """A weight texted into the silence counts like any other, and the record says why nothing was said."""
    flood(phone)

    assert "" == phone.says("harvest 4.5")
    assert [{"grams": 4500}] == village.rows("SELECT grams FROM harvest")
    kept = village.row("SELECT read_json FROM inbound ORDER BY id DESC LIMIT 1")
    assert "its answer: silent" in str(kept["read_json"])


def test_a_question_that_is_not_put_is_not_open(village: Village, phone: Phone) -> None:
    """In the silence nothing is asked, so that a later digit cannot answer what nobody has read."""
    flood(phone)
    before = phone.talk

    assert "" == phone.says("cancelled harvest")
    # That it was not understood is counted all the same: at the third such text an officer is to look.
    assert replace(before, misses=1) == phone.talk


@pytest.mark.parametrize(
    "words", ["STOP", "cancel", "mtoto amekunywa dawa", "my child drank the spray", "ACHA"]
)
def test_stop_and_emergencies_are_always_answered(village: Village, phone: Phone, words: str) -> None:
    """However much has been texted, these two break the silence."""
    flood(phone)

    answer = phone.says(words)

    assert answer
    assert ["exempt"] == replied(village)[-1:]


def test_a_stop_is_confirmed_once_and_a_start_comes_back(village: Village, phone: Phone) -> None:
    """STOP said again changes nothing and is bounded like all else; the record of both stays."""
    flood(phone)
    first, again = phone.says("STOP"), phone.says("STOP")

    assert first
    assert "" == again
    assert ["exempt", "silent"] == replied(village)[-2:]


def test_a_dialogue_we_began_is_not_counted(village: Village) -> None:
    """Joining step by step takes more than five answers, and all of them come."""
    phone = village.phone()
    steps = ("JOIN", "Neema", "200", "12/10/2026", "Zaruvi", "yes")

    assert all(phone.says(words) for words in steps)
    assert ["counted", *["dialogue"] * 5] == replied(village, since=0)


def test_a_flood_from_many_numbers_keeps_to_a_budget_a_minute(database_url: str) -> None:
    """Beyond the minute's answers the next minutes are used, ten of them, and then nobody is answered any more."""
    village = build_village(database_url, limits=ReplyLimits(a_minute=3))
    phones = [village.phone() for _ in range(40)]
    for phone in phones:
        village.deliver(phone, "help", f"ref-{phone.number}")
    village.receiver.answer_all()
    sent = []
    for _ in range(15):
        village.sender.drain()
        sent.append(sum(len(phone.texts) for phone in phones))
        village.clock.advance(timedelta(minutes=1))
    village.database.close()

    assert [3, 6, 9, 12, 15, 18, 21, 24, 27, 30, 30, 30, 30, 30, 30] == sent


def test_stop_and_emergencies_have_no_share_in_that_budget(database_url: str) -> None:
    """A minute that is used up answers these all the same, at once."""
    village = build_village(database_url, limits=ReplyLimits(a_minute=1))
    crowd = [village.phone() for _ in range(15)]
    for phone in crowd:
        village.deliver(phone, "help", f"ref-{phone.number}")
    village.receiver.answer_all()
    answer = village.phone().says("mtoto amekunywa dawa ya sumu")
    village.database.close()

    assert answer


ECHOES: dict[str, Callable[[str], str]] = {
    "our own words": lambda said: said,
    "one word for ever": lambda _said: "harvest",
    "one command for ever": lambda _said: "jobs",
    "an absence note": lambda _said: "I am away from my phone and will answer later",
    "our words, with a mark": lambda said: f"Re: {said}",
}


@pytest.mark.parametrize("echo", ECHOES.values(), ids=ECHOES.keys())
def test_a_loop_with_another_machine_ends_after_three_answers(
    village: Village, phone: Phone, echo: Callable[[str], str]
) -> None:
    """Whatever answers us by itself gets three texts at most, and then nothing for an hour."""
    said = phone.says("help")
    village.clock.advance(timedelta(minutes=61))
    answers = 0
    for _ in range(20):
        answer = phone.says(echo(said))
        answers += bool(answer)
        said = answer or said

    assert answers <= 3


@pytest.mark.parametrize("question", ["done 2", "harvest", "records", "cancel", "ask"])
def test_a_machine_that_sends_our_question_back_is_soon_left_alone(phone: Phone, question: str) -> None:
    """A whole question of ours is no answer to it, although it holds the words of all its answers."""
    said = phone.says(question)
    answers = 0
    for _ in range(8):
        answer = phone.says(f"Re: {said}")
        answers += bool(answer)
        said = answer or said

    assert answers <= 3


def test_the_same_text_four_times_in_ten_minutes_is_silenced_for_a_day(
    village: Village, phone: Phone
) -> None:
    """Thrice it is answered; then only STOP and emergencies are, until a day has passed."""
    answers = [phone.says("total") for _ in range(4)]
    village.clock.advance(timedelta(hours=23))
    later = phone.says("help")
    village.clock.advance(timedelta(hours=2))

    assert [True, True, True, False] == [bool(answer) for answer in answers]
    assert ["counted", "counted", "counted", "muted", "silent"] == replied(village)
    assert "" == later
    assert phone.says("help")


def test_a_command_that_moves_something_each_time_is_a_farmer(village: Village, phone: Phone) -> None:
    """The fourth UNDO in a minute takes a fourth weight back, and the phone is not silenced for it."""
    for kilos in range(1, 5):
        phone.says(f"harvest {kilos}.5 yesterday" if kilos % 2 else f"harvest {kilos}.5")
        phone.says("2")
        village.clock.advance(timedelta(minutes=61))

    for _ in range(4):
        phone.says("undo")

    assert "muted" not in replied(village)


def test_the_same_text_now_and_then_is_a_farmer(village: Village, phone: Phone) -> None:
    """Four times in an hour is nobody's machine."""
    answers = []
    for _ in range(4):
        answers.append(phone.says("total"))
        village.clock.advance(timedelta(minutes=6))

    assert all(answers)


def test_what_cannot_be_read_is_answered_twice_and_handed_over_once(village: Village, phone: Phone) -> None:
    """Two offers, the word that an officer will look, and silence."""
    answers = [phone.says(words) for words in ("hm", "hmm", "hmmm", "hmmmm", "hmmmmm", "h")]

    assert [True, True, True, False, False, False] == [bool(answer) for answer in answers]
    assert "An officer will look" in answers[2]


OURSELVES = {
    "our short code": SERVICE_NUMBER,
    "another short code": "40404",
    "a short code with its country": "+15077",
    "a name": "ZARUVI",
    "a name with digits": "BANK255621",
    "nothing": "",
}


@pytest.mark.parametrize("source", OURSELVES.values(), ids=OURSELVES.keys())
def test_machines_are_never_answered(village: Village, source: str) -> None:
    """A sender that is no phone is told apart before anything is kept of it."""
    with village.database.work() as work, pytest.raises(BadNumber):
        store(work, village.tools, text_from(village, source), village.clock.now(), village.clock.now())

    assert [] == village.rows("SELECT id FROM inbound")


@pytest.mark.parametrize("source", ["0621234599", "+255621234599", "00255621234599"])
def test_our_own_long_number_is_never_answered(database_url: str, source: str) -> None:
    """Where farmers text to a number like their own, that number under any form is us."""
    village = build_village(database_url, service_number="+255 621 234 599")
    with village.database.work() as work, pytest.raises(BadNumber):
        store(work, village.tools, text_from(village, source), village.clock.now(), village.clock.now())
    village.database.close()


def text_from(village: Village, source: str, text: str = "help") -> InboundText:
    """Return a text from any sender."""
    return InboundText(
        event_id="e",
        message_ref="m",
        source=source,
        destination="15077",
        text=text,
        received_at=village.clock.now(),
    )


def test_two_hundred_texts_a_day_are_stored(village: Village, phone: Phone) -> None:
    """What is beyond is not kept, but STOP is still heard; the next day begins anew."""
    taken = [village.deliver(phone, "x", f"ref-{number}") for number in range(MOST_A_DAY + 5)]

    # The two texts of joining were stored on the same day.
    assert MOST_A_DAY - 2 == sum(taken)
    assert village.deliver(phone, "STOP", "stop")
    assert village.deliver(phone, "my child drank poison", "emergency")

    village.clock.advance(timedelta(hours=25))
    assert village.deliver(phone, "x", "tomorrow")


def lines(village: Village) -> list[object]:
    """Return what stands before an officer as not understood."""
    rows = village.rows("SELECT text FROM question WHERE urgency = 'not_understood' ORDER BY id")
    return [row["text"] for row in rows]


def test_what_nobody_understood_and_nobody_answered_is_before_an_officer(
    village: Village, phone: Phone
) -> None:
    """The third answer says that an officer looks; texts after it are on the same line, one for each phone."""
    texts = ["red thing one", "blue thing two", "green thing three", "grey thing four", "pink thing five"]

    answers = [phone.says(text) for text in texts]

    assert [True, True, False, False, False] == [
        "did not understand" in one and "Reply 1" in one for one in answers
    ]
    assert "An officer will look" in answers[2]
    assert ["", ""] == answers[3:]
    assert ["green thing three / grey thing four / pink thing five"] == lines(village)


def test_a_good_text_in_between_leaves_nobody_in_silence(village: Village, phone: Phone) -> None:
    """The count of what was missed begins anew, the limit of the hour does not: then the word of the officer comes."""
    for text in ("red thing one", "blue thing two", "total"):
        phone.says(text)

    answers = [phone.says("green thing three"), phone.says("grey thing four")]

    assert "An officer will look" in answers[0]
    assert "" == answers[1]
    assert ["green thing three / grey thing four"] == lines(village)


def test_a_right_answer_to_an_open_question_is_never_silenced(village: Village) -> None:
    """Whoever hesitates over the planting day may say it once more: both years are still likely."""
    phone = village.phone()
    for text in (
        "JOIN",
        "1",
        "Neema",
        "400",
        "20/2",
        "what is that",
        "red thing",
        "blue thing",
        "grey thing",
    ):
        phone.says(text)

    assert "2026" in phone.says("20/2")


def test_a_line_before_the_officer_does_not_grow_for_ever(village: Village, phone: Phone) -> None:
    """A machine that sends nonsense fills one line, and the farmer's page has the rest."""
    for number in range(20):
        phone.says(f"red thing {'very ' * 10}{number} apples")

    (line,) = lines(village)

    assert 600 <= len(str(line)) < 700
