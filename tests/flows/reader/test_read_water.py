"""Water and rain: everyday words, which are commands only where little else is said."""

from collections.abc import Callable
from datetime import date

import pytest

from flows.inputs import Done, Input, Words
from flows.reader import Reading
from flows.watering import Rain, Water

Says = Callable[[str], Reading]

YESTERDAY = date(2026, 11, 24)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("WATER", Water()),
        ("maji", Water()),
        ("maji?", Water()),
        ("naomba maji leo", Water()),
        ("maji kesho", Water()),
        ("irrigate", Water()),
        ("irigate", Water()),
        ("umwagiliaji", Water()),
        ("umwagilaji", Water()),
        ("nimwagilie leo?", Water()),
        ("maji debe 20", Water(can_ml=20_000)),
        ("maji debe lita 20", Water(can_ml=20_000)),
        ("maji ndoo ya lita 10", Water(can_ml=10_000)),
        ("water can 20", Water(can_ml=20_000)),
        ("water can of 20 litres", Water(can_ml=20_000)),
        ("water 20 l can", Water(can_ml=20_000)),
        ("water bucket 12.5", Water(can_ml=12_500)),
        ("water drip 2", Water(drip_ml_h=2_000)),
        ("water drip 2.2 lph", Water(drip_ml_h=2_200)),
        ("water drip 2 litres an hour", Water(drip_ml_h=2_000)),
        ("maji matone lita 1.5 kwa saa", Water(drip_ml_h=1_500)),
        ("rain 12", Rain(tenths=120)),
        ("mvua 12 mm", Rain(tenths=120)),
        ("Mvua imenyesha mm 8", Rain(tenths=80)),
        ("leo mvua 12.5", Rain(tenths=125, on=date(2026, 11, 25))),
        ("mvua mm 12 jana", Rain(tenths=120, on=YESTERDAY)),
        ("rained 12 yesterday", Rain(tenths=120, on=YESTERDAY)),
        ("imenyesha 30 jumatatu", Rain(tenths=300, on=date(2026, 11, 23))),
        ("rain 0", Rain(tenths=0)),
        ("rain 400", Rain(tenths=4000)),
        ("rain 12 tomorrow", Rain(tenths=120, on=date(2026, 11, 26))),
        ("rain 12 last week", Rain(tenths=120, vague=True)),
        ("mvua", Rain()),
        ("rain 12 and 5", Rain()),
        ("rain -5", Rain()),
        ("rain 5/11", Rain(on=date(2026, 11, 5))),
    ],
)
def test_water_and_rain_are_read(says: Says, text: str, expected: Input) -> None:
    """Alone, with a can and its size, or with the figure of a gauge and its day."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("maji machafu shambani", True),
        ("mvua kubwa itanyesha lini?", True),
        ("water the beds in the evening", True),
        ("water drip 50", True),
        ("water can drip 5", True),
        # Neither of these asks anything: they are answered as what was not understood.
        ("mvua ilinyesha sana", False),
        ("mvua ya mawe", False),
        ("maji hakuna", False),
        ("maji 4", False),
        ("maji jana", False),
        ("maji ndoo 2", False),
        ("water 2 buckets", False),
        ("water 20", False),
        ("maji debe 500", False),
        ("rain 12 kg", False),
        ("Walter", False),
    ],
)
def test_a_sentence_with_these_words_is_none_of_them(says: Says, text: str, *, question: bool) -> None:
    """What is asked, and what is told of water, goes to a person; a number beside "water" may be a job's."""
    assert Words(text=text, question=question) == says(text).input


@pytest.mark.parametrize("text", ["nimemaliza maji", "done water", "maji tayari", "water is done"])
def test_watering_that_is_finished_is_a_job_done(says: Says, text: str) -> None:
    """Whatever stands first: the report is of a job."""
    assert Done() == says(text).input
