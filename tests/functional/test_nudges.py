"""Stories of a text about jobs that is not answered: asked after once, two or three days later, then silence."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from scheduler.merge import merge_due
from scheduler.sweep import plan_due
from tests.village import ZONE, Phone, Village

NUDGE = "Neema, is this finished: Flowers off? Reply 1 finished 2 tomorrow 3 not needed 4 need help"


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer who joined on a Wednesday, got the list of the week and said nothing."""
    phone = village.phone()
    phone.joins()
    return phone


def nudges(phone: Phone) -> list[str]:
    """Return the nudges a phone got."""
    return [text for text in phone.texts if "is this finished" in text]


def test_silence_is_asked_after_once(village: Village, phone: Phone) -> None:
    """Two days after the list one job of it is asked after; nothing more comes before the next text day."""
    village.pass_days(1)
    soon = nudges(phone)
    village.pass_days(1)
    then = nudges(phone)
    village.pass_days(4)

    assert ([], [NUDGE]) == (soon, then)
    assert [NUDGE] == nudges(phone)
    assert [1] == [row["n"] for row in village.rows("SELECT count(DISTINCT nudged_on) AS n FROM reminder")]


@pytest.mark.parametrize("words", ["done 3", "not yet 1", "need help 1"])
def test_who_has_answered_is_left_alone(village: Village, phone: Phone, words: str) -> None:
    """One answer shows that the list was read, be it done, not yet or a call for help."""
    phone.says(words)

    village.pass_days(5)

    assert [] == nudges(phone)


@pytest.mark.parametrize("words", ["nimekunywa dawa", "bitten by a snake", "I want to die"])
def test_who_called_for_help_is_asked_after_no_job(village: Village, phone: Phone, words: str) -> None:
    """While a person has not seen to somebody who may be dying, "is this finished: weeds" would be a mockery."""
    phone.says(words)

    village.pass_days(5)

    assert [] == nudges(phone)


@pytest.mark.parametrize(("words", "reply"), [("pause", "1"), ("stop", "1"), ("wrong number", "2")])
def test_who_wants_no_texts_gets_no_nudge(village: Village, phone: Phone, words: str, reply: str) -> None:
    """A pause, a stop and a number that changed hands hold for nudges too."""
    phone.says(words)
    phone.says(reply)

    village.pass_days(5)

    assert [] == nudges(phone)


@pytest.mark.parametrize(
    ("texts", "state", "answer"),
    [
        pytest.param(("1",), "answered", "Noted as finished: Flowers off", id="finished"),
        pytest.param(("yes",), "answered", "Noted as finished: Flowers off", id="yes"),
        pytest.param(
            ("2",), "texted", "we keep it open: Flowers off. When it is finished reply DONE 1", id="2"
        ),
        pytest.param(("3",), "answered", "Noted as not needed now: Flowers off.", id="not-needed"),
        pytest.param(("4",), "texted", "Noted that you need help: Flowers off", id="help"),
        pytest.param(("need help",), "texted", "Noted that you need help: Flowers off", id="in-words"),
        pytest.param(("7", "3"), "answered", "Noted as not needed now", id="after-a-wrong-digit"),
        pytest.param(("no", "2"), "texted", "we keep it open", id="no-and-tomorrow"),
        pytest.param(("done 1", "1"), "answered", "finished already", id="done-meanwhile"),
    ],
)
def test_a_nudge_is_answered(
    village: Village, phone: Phone, texts: tuple[str, ...], state: str, answer: str
) -> None:
    """Four digits; the answer says which job was meant, and nobody asks again."""
    village.pass_days(2)
    assert NUDGE == phone.last

    answers = [phone.says(words) for words in texts]
    village.pass_days(3)

    assert answer in answers[-1]
    assert [state] == [
        row["state"] for row in village.rows("SELECT state FROM reminder WHERE task = 'flowers_off'")
    ][:1]
    assert [NUDGE] == nudges(phone)[:1]
    assert 1 + texts.count("7") + texts.count("no") == len(nudges(phone))


def test_what_is_not_needed_is_not_counted_as_done(village: Village, phone: Phone) -> None:
    """It is closed with that answer, and no report says it was done."""
    village.pass_days(2)
    phone.says("3")

    assert [] == village.rows("SELECT task FROM done_report")
    assert [{"answer": "not_needed"}] == village.rows("SELECT answer FROM reminder WHERE state = 'answered'")


def test_a_nudge_keeps_to_the_cap(village: Village) -> None:
    """A nudge is one of the three texts in seven days, and never a second one on a day."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.pass_days(21)

    days = sorted(
        date.fromisoformat(str(row["queued_on"]))
        for row in village.rows("SELECT queued_on FROM message WHERE kind IN ('reminder', 'nudge')")
    )
    assert all((fourth - first).days >= 7 for first, fourth in zip(days, days[3:], strict=False))
    assert len(days) == len(set(days))


def test_nudges_are_written_once(village: Village, phone: Phone) -> None:
    """However often the worker ticks on that day."""
    village.pass_days(2)
    village.pass_hours(5)

    assert [NUDGE] == nudges(phone)


def test_a_day_that_is_over_asks_nothing(village: Village, phone: Phone) -> None:
    """Midnight passes between planning a day and writing its texts: what it would have asked falls away."""
    village.pass_days(1)
    friday = datetime(2026, 11, 27, 23, 59, tzinfo=ZoneInfo(ZONE))
    village.clock.set(friday)
    plan_due(village.database, village.tools.calendar, friday)
    village.clock.advance(timedelta(minutes=2))
    merge_due(village.database, village.tools, village.clock.now())
    village.pass_days(1)

    assert [] == nudges(phone)
    assert [] == village.rows("SELECT queued_on FROM message WHERE kind = 'nudge'")
