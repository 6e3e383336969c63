"""`trussline read` tells what the service would make of a text: the same as it makes of one that a farmer sends."""

import json
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.read import read
from service.use_cases.trying_texts import try_text
from tests.village import Village

ON = date(2026, 11, 25)
# What is kept, asked about, and neither.
TEXTS = [
    "harvest 12.5",
    "vuna kilo 8 na nusu jana",
    "harvest 3 yesterday 4 today",
    "harvest 125",
    "1,250",
    "harvest 8 5",
    "picked S.5 kg",
    "5/6 kg",
    "HARVEST",
    "sold 12 kg 2500 each",
    "cost manure 15000",
    "rain 12",
    "sprayed 7",
    "why are the leaves yellow?",
    "we will pick ten kilos tomorrow",
    "I picked 6 kg tomorrow",
    "cancel",
    "hello",
    "water",
]
ROWS = (
    ("harvest", "SELECT grams, picked_on FROM harvest ORDER BY id"),
    ("sold", "SELECT grams, sold_on FROM sale ORDER BY id"),
)


def run(*arguments: str) -> Result:
    """Type the command."""
    return CliRunner().invoke(read, arguments)


@pytest.mark.parametrize("text", TEXTS)
def test_it_says_what_a_farmers_text_leads_to(village: Village, text: str) -> None:
    """Weights, sales and the question that goes back are those that the service keeps and sends."""
    phone = village.phone()
    phone.joins(plants=400, days_ago=250)
    said = phone.says(text)
    tried = try_text(village.tools, text, language="en", on=ON, plants=400)
    kept = [
        (intent, row["grams"], str(day))
        for intent, statement in ROWS
        for row in village.rows(statement)
        for day in [next(value for name, value in row.items() if name.endswith("_on"))]
    ]
    heard = [
        (one.intent, one.amount, str(one.on))
        for one in tried.readings
        if one.intent in dict(ROWS) and (tried.ask is None or kept)
    ]

    assert sorted(kept) == sorted(heard)
    assert tried.ask is None or tried.ask == said


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("STOP", "stop"),
        ("acheni kunitumia ujumbe", "stop"),
        ("my child drank pesticide", "emergency"),
        ("nani huyu", "who"),
        ("JUMLA", "total"),
        ("kazi", "jobs"),
        ("asante", "thanks"),
        ("pause 2 weeks", "pause"),
        ("LUGHA", "language"),
    ],
)
def test_each_text_has_its_intent(text: str, intent: str) -> None:
    """A word that keeps nothing is told by what it asks for."""
    told = json.loads(run(text, "--json", "--at", "2026-11-25T10:00").stdout)

    assert [intent] == [reading["intent"] for reading in told["readings"]]
    assert told["why"]


def test_a_container_is_asked_about_by_its_name() -> None:
    """Nobody knows what it weighs: its name stands for the unit and a question goes back."""
    told = json.loads(run("vuna ndoo 2", "--json", "--lang", "sw", "--at", "2026-11-25T10:00").stdout)

    assert [("harvest", 2, "ndoo")] == [
        (reading["intent"], reading["amount"], reading["unit"]) for reading in told["readings"]
    ]
    assert told["ask"]


def test_a_file_is_read_line_by_line(tmp_path: Path) -> None:
    """A line is a text, or an object with its own day, language and plants."""
    lines = tmp_path / "texts"
    own = {"text": "vuna 2 jana", "lang": "sw", "at": "2026-10-02T08:00", "plants": 100}
    lines.write_text(f"harvest 5\n{json.dumps(own)}\n", encoding="utf-8")
    answers = [
        json.loads(line)["readings"][0]
        for line in run("--lines", str(lines), "--json", "--at", "2026-11-25T10:00").stdout.splitlines()
    ]

    assert [(5000, "2026-11-25"), (2000, "2026-10-01")] == [(one["amount"], one["date"]) for one in answers]


def test_people_get_sentences() -> None:
    """Without --json a line says what was heard, what is asked and why."""
    told = run("harvest 8 5", "--at", "2026-11-25T10:00").stdout

    assert "Asks: " in told
    assert "Why: harvest: main word" in told


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "Give one text, or --lines with a file of them."),
        (("harvest 5", "--at", "noon"), "'noon' (--at) is no time: write it like 2026-11-25T10:00."),
    ],
)
def test_what_cannot_be_is_refused(arguments: tuple[str, ...], said: str) -> None:
    """A mistake is one sentence that says what to write."""
    result = run(*arguments)

    assert 0 != result.exit_code
    assert said in result.output + str(result.exception)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("{not json", "Line 1 begins like a JSON object and is none"),
        ('{"plants": 5}', 'Line 1 has no "text"'),
        ('{"text": "harvest 5", "plants": 0}', "The plants of line 1 are no number"),
    ],
)
def test_a_wrong_line_is_named(tmp_path: Path, line: str, said: str) -> None:
    """Whoever prepares a file of many lines is told which one is wrong."""
    lines = tmp_path / "texts"
    lines.write_text(f"{line}\n", encoding="utf-8")
    result = run("--lines", str(lines), "--json")

    assert 0 != result.exit_code
    assert said in result.output + str(result.exception)
