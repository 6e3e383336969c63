"""How values are written on the pages."""

from datetime import UTC, date, datetime, timedelta
from typing import get_args

import pytest

from flows.effects import Urgency
from flows.facts import FarmerState
from flows.input_names import NAMES
from flows.inputs import Input
from service.core.kinds import KINDS, MessageState
from service.core.model import HarvestState, InboundState, ReminderState
from service.use_cases.holding import HoldReason
from service.web import words
from service.web.farmers.talk import INTENTS, measure

NOW = datetime(2026, 11, 25, 3, 41, tzinfo=UTC)


@pytest.mark.parametrize(
    ("ago", "said"),
    [
        (timedelta(seconds=59), "just now"),
        (timedelta(seconds=-5), "just now"),
        (timedelta(minutes=1), "1 minute"),
        (timedelta(minutes=59, seconds=59), "59 minutes"),
        (timedelta(hours=1), "1 hour"),
        (timedelta(hours=47, minutes=59), "47 hours"),
        (timedelta(hours=48), "2 days"),
        (timedelta(days=1000), "1,000 days"),
    ],
    ids=str,
)
def test_waiting_is_told_in_one_unit(ago: timedelta, said: str) -> None:
    """How long something waits is told in its largest whole unit, days from two on."""
    assert said == words.waited(NOW - ago, NOW)


@pytest.mark.parametrize(
    ("then", "said"),
    [
        (datetime(2026, 11, 24, 21, 0, tzinfo=UTC), "0 days"),
        (datetime(2026, 11, 24, 20, 59, 59, tzinfo=UTC), "1 day"),
        (datetime(2026, 9, 20, 20, 59, tzinfo=UTC), "66 days"),
        (datetime(2026, 9, 20, 21, 0, tzinfo=UTC), "65 days"),
    ],
    ids=str,
)
def test_days_are_counted_by_midnights_of_the_place(then: datetime, said: str) -> None:
    """By hand: in a zone three hours ahead the day of 25 November begins at 21:00 UTC of the day before."""
    assert said == words.days_since(then, NOW, "Africa/Dar_es_Salaam")


@pytest.mark.parametrize(
    ("grams", "said"), [(0, "0.00"), (5, "0.01"), (4, "0.00"), (12_500, "12.50"), (1_234_567, "1,234.57")]
)
def test_kilos_stand_under_each_other(grams: int, said: str) -> None:
    """Kilos always have two decimals, rounded as people round."""
    assert said == words.kilos(grams)


@pytest.mark.parametrize(
    ("mask", "said"),
    [
        (0, "none"),
        (0b1, "Monday"),
        (0b1001, "Monday and Thursday"),
        (0b1010100, "Wednesday, Friday and Sunday"),
    ],
)
def test_weekdays_in_words(mask: int, said: str) -> None:
    """A set of weekdays is told as a list; bit 0 is Monday."""
    assert said == words.weekdays(mask)


def test_local_day_and_hour_of_an_instant() -> None:
    """An instant late in the day in UTC is already tomorrow in the east."""
    instant = datetime(2026, 11, 25, 22, 30, tzinfo=UTC)

    assert date(2026, 11, 26) == words.local(instant, "Africa/Dar_es_Salaam")
    assert "01:30" == words.hour(instant, "Africa/Dar_es_Salaam")


def test_days_name_their_year_where_it_is_another() -> None:
    """A day of this year goes without its year."""
    today = date(2026, 11, 25)

    assert "Mon 16 Nov" == words.short_day(date(2026, 11, 16), today)
    assert "16 Nov 2025" == words.short_day(date(2025, 11, 16), today)


@pytest.mark.parametrize(
    ("told", "states"),
    [
        (words.MESSAGE_STATES, set(MessageState)),
        (words.REMINDER_STATES, set(ReminderState)),
        (words.INBOUND_STATES, set(InboundState)),
        (words.WEIGHT_STATES, set(HarvestState)),
        (words.URGENCIES, set(Urgency)),
        (words.KINDS, set(KINDS)),
        (words.FARMER_STATES, set(FarmerState) - {FarmerState.ERASED}),
        (words.HOLD_REASONS, set(HoldReason)),
    ],
    ids=["message", "reminder", "inbound", "weight", "question", "kind", "farmer", "hold"],
)
def test_every_state_has_its_words(told: dict[str, str], states: set[str]) -> None:
    """A state that is added must be given words; an erased farmer is on no page."""
    assert {str(state) for state in states} == set(told)


def test_unknown_word_is_shown_as_stored() -> None:
    """A row from a newer version is shown rather than breaking the page."""
    assert "held back" == words.worded("held_back", words.MESSAGE_STATES)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "1 part, 0 of 160"),
        ("a" * 106, "1 part, 106 of 160"),
        ("€" * 80, "1 part, 160 of 160"),
        ("a" * 161, "2 parts, 161 of 306"),
        ("ж" * 70, "1 part, 70 of 70"),
        ("ж" * 71, "2 parts, 71 of 134"),
    ],
    ids=["empty", "gsm", "extension", "two", "ucs2", "two ucs2"],
)
def test_measure_of_a_text(text: str, said: str) -> None:
    """Parts and room as 3GPP TS 23.038 and 23.040 count them."""
    assert said == measure(text)


def test_whatever_a_text_is_read_as_has_words() -> None:
    """Under a farmer's text stands what it was read as, in words; each kind is kept under a name of its own."""
    assert set(get_args(Input)) == NAMES.keys()
    assert sorted(NAMES.values()) == sorted(INTENTS)
