"""How long a pause shall be, said on Wednesday 25 November 2026; the wordings are our own, from everyday speech."""

from datetime import date

import pytest

from flows.inputs import Words
from flows.wishes import Pause
from tests.flows.reader.conftest import Says


@pytest.mark.parametrize(
    ("text", "until"),
    [
        ("pause for 3 days", date(2026, 11, 28)),
        ("simamisha wiki 4", date(2026, 12, 23)),
        ("pause until friday", date(2026, 11, 27)),
        ("simamisha hadi jumatano", date(2026, 12, 2)),
        ("pause until 12/12/2026", date(2026, 12, 12)),
        ("pause until 3 march 2027", date(2027, 3, 3)),
        ("simamisha hadi 1 januari", date(2027, 1, 1)),
        # Of what has no year the next is meant, of a day alone the one in this or the next month.
        ("pause until 5/11", date(2027, 11, 5)),
        ("simamisha hadi machi", date(2027, 3, 1)),
        ("pause until march", date(2027, 3, 1)),
        ("simamisha hadi tarehe 5", date(2026, 12, 5)),
        ("simamisha hadi tarehe 28", date(2026, 11, 28)),
    ],
)
def test_a_pause_ends_on_the_day_that_was_said(says: Says, text: str, until: date) -> None:
    """So long from now, or the next day that is called so."""
    assert Pause(until=until) == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        "pause until 30/2",
        "pause until 12/12/2024",
        "pause until today",
        "pause yesterday",
        "pause until 3 march or 5 march",
        "pause until 2 kg",
        "simamisha hadi machi sokoni",
    ],
)
def test_a_pause_that_ends_on_no_day_to_come_is_for_a_person(says: Says, text: str) -> None:
    """Of a day that has passed, is none, or is one of two, nobody knows how long a farmer wants to hear nothing."""
    assert isinstance(says(text).input, Words)
