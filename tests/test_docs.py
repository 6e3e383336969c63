"""What README.md and DEVELOPERS.md say is what the code does.

The tables are compared with what they describe, the phone session is played, and what a sentence names must be there.
"""

import re
from datetime import UTC, date, datetime
from importlib.metadata import entry_points
from pathlib import Path
from zoneinfo import ZoneInfo

import click
import pytest

from commands import _parser
from flows.reader import Intent, Situation, load_packs, read
from pictures import MOST_BYTES
from service.cli.main import GROUP, main
from service.settings import Settings
from tests.command_words import main_word, pack_of
from tests.village import ZONE, build_village

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
RUNBOOK = (ROOT / "deploy" / "README.md").read_text(encoding="utf-8")
PAGES = {"README.md": README, "DEVELOPERS.md": DEVELOPERS, "deploy/README.md": RUNBOOK}

PROMISE = (
    "A message that was accepted for sending is never lost without a trace. It can arrive twice only if the "
    "gateway's answer was lost; each such case is counted, listed and bounded by the number of unanswered "
    "messages (the window) at the crash. For each kind of message you choose: at most once, or at least once."
)
PACKS = load_packs()
TODAY = date(2026, 11, 25)
DISTRICTS = ("Zaruvi", "Ketumali", "Ndaliro", "Shumbeka")
# When the session of the README was typed: a quarter to seven in the evening in the village.
TYPED_AT = datetime(2026, 11, 25, 15, 45, tzinfo=UTC)


def table(heading: str) -> list[list[str]]:
    """Return the cells of the README's table below a heading, row by row."""
    section = README.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    rows = [line for line in section.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in row.removesuffix("|").split("|")[1:]] for row in rows[2:]]


def quoted(page: str) -> list[str]:
    """Return what stands in backquotes, blocks of code left out."""
    return re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```$", "", page, flags=re.MULTILINE | re.DOTALL))


def test_readme_opens_with_the_job() -> None:
    """Whoever opens the page reads one paragraph on what it is for, before any other heading."""
    title, job, following = README.split("\n\n")[:3]

    assert title == "# Trussline"
    assert re.match(r"Trussline tells strawberry farmers by SMS ", job)
    assert "\n" not in job
    assert following.startswith("![")


@pytest.mark.parametrize(("column", "language"), [(1, "en"), (2, "sw")])
def test_every_word_a_farmer_can_text_stands_in_the_readme(column: int, language: str) -> None:
    """The table has each command once, by its main word, and what stands there is read as that command."""
    examples = [quoted(row[column]) for row in table("What a farmer can text")]
    situation = Situation(on=TODAY, districts=DISTRICTS, languages=PACKS, language=language)
    meant = [
        [type(read(example, situation).input).__name__.casefold() for example in row] for row in examples
    ]
    written = [[_intent(example, language) for example in row] for row in examples]

    assert [[_NAMES.get(intent, intent.replace("_", "")) for intent in row] for row in written] == meant
    assert sorted(Intent) == sorted({intent for row in written for intent in row})


# Warnings on and off are one wish that says which.
_NAMES = {Intent.ALERTS_ON: "alerts", Intent.ALERTS_OFF: "alerts"}


def _intent(example: str, language: str) -> Intent:
    """Return the command whose main word, of one word or several, an example begins with."""
    pack = pack_of(language)
    by_length = sorted(Intent, key=lambda intent: -len(main_word(pack, intent)))
    return next(intent for intent in by_length if example.startswith(main_word(pack, intent)))


def shown(value: object) -> str:
    """Return a default as the table shows it."""
    if value is None or value == "":
        return ""
    return f"`{str(value).lower() if isinstance(value, bool) else value}`"


def test_every_setting_stands_in_the_readme() -> None:
    """The table has each setting in the order of the code, with its default and its description."""
    expected = [
        [f"`{name}`", shown(field.default), field.description]
        for name, field in Settings.model_fields.items()
    ]

    assert expected == table("Settings")


def test_the_phone_session_can_be_repeated(tmp_path: Path) -> None:
    """Typed again on the same day, the session of the README brings the same texts, word for word."""
    block = README.split("\n```\n")[1].splitlines()
    village = build_village(f"sqlite:///{tmp_path / 'trussline.db'}", start=TYPED_AT)
    phone = village.phone()
    for line in block:
        if line.startswith("> "):
            phone.says(line.removeprefix("> "))
        elif clock := re.fullmatch(r"\(clock: \+ 1 day, (\d) times\)", line):
            village.pass_hours(24 * int(clock[1]))
    village.database.close()

    received = [
        f"[{text.at.astimezone(ZoneInfo(ZONE)):%a %d %b %H:%M}, {text.parts} part] {text.text}"
        for text in phone.received
    ]
    assert [line for line in block if line.startswith("[")] == received


def test_the_promise_stands_word_for_word() -> None:
    """What is promised about messages is not watered down where people read it."""
    assert f"\n> {PROMISE}\n" in README


def test_the_two_commands_are_there() -> None:
    """Each way of calling start.py that the README shows is understood by it."""
    calls = re.findall(r"python3 deploy/start.py ((?:demo|test)(?: --[\w-]+)*)\b", README)
    asked = {_parser().parse_args(call.split()).command for call in calls}

    assert {"demo", "test"} == asked


def commands(group: click.Group, prefix: str = "trussline") -> list[str]:
    """Return the whole names of all commands below a group."""
    context = click.Context(group)
    found: list[str] = []
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        whole = f"{prefix} {name}"
        found += commands(command, whole) if isinstance(command, click.Group) else [whole]
    return found


def test_every_command_is_named() -> None:
    """Each command of `trussline` is named where somebody would look for it."""
    text = README + DEVELOPERS + RUNBOOK

    assert len(entry_points(group=GROUP)) <= len(commands(main))
    assert [] == [name for name in commands(main) if name not in text]


@pytest.mark.parametrize("page", PAGES)
def test_every_command_that_is_named_is_there(page: str) -> None:
    """No page tells to run a command that does not exist."""
    known = commands(main)
    named = {
        said.strip()
        for code in quoted(PAGES[page]) + re.findall(r"^    (.+)$", PAGES[page], flags=re.MULTILINE)
        for said in re.findall(r"\btrussline( [a-z]+)", code)
    }

    assert set() == {name for name in named if not any(command.split()[1] == name for command in known)}


@pytest.mark.parametrize("page", PAGES)
def test_every_file_that_is_named_exists(page: str) -> None:
    """A path in backquotes or behind a link leads somewhere."""
    place = (ROOT / page).parent
    named = [
        name
        for name in quoted(PAGES[page])
        if re.fullmatch(r"(flows|service|scheduler|tests|deploy|\.ci)/[\w./{},*-]*", name)
    ]
    linked = re.findall(r"\]\(([^):]+?)(?:#[\w-]+)?\)|src=\"([^\"]+)\"", PAGES[page])

    assert [] == [name for name in named if not list(ROOT.glob(name))]
    assert [] == ["".join(pair) for pair in linked if not (place / "".join(pair)).exists()]


def test_pictures_are_small_and_shown() -> None:
    """Each picture is one the README shows, and opens quickly on a slow line."""
    pictures = sorted((ROOT / "deploy" / "pictures").iterdir())
    sizes = {path.name: path.stat().st_size for path in pictures}

    assert {"farmer.png", "phone.png"} == set(sizes)
    assert [] == [name for name in sizes if f"deploy/pictures/{name}" not in README]
    assert [] == [name for name, size in sizes.items() if size > MOST_BYTES]
    assert all(path.read_bytes().startswith(b"\x89PNG\r\n") for path in pictures)


def test_decisions_are_numbered_dated_and_short() -> None:
    """Decisions are found by their number and read in a minute: a heading with a date, ten lines at most."""
    section = DEVELOPERS.split("\n## Decisions\n")[1].split("\n## ")[0]
    headings = re.findall(r"^### (\d+)\. .+ \((\d{4}-\d{2}-\d{2})\)$", section, flags=re.MULTILINE)
    bodies = [body.strip().splitlines() for body in re.split(r"^### .+$", section, flags=re.MULTILINE)[1:]]

    assert [str(number) for number in range(1, len(bodies) + 1)] == [number for number, _ in headings]
    assert [] == [body[0] for body in bodies if len(body) > 10]
    assert [] == [
        body[0] for body in bodies if not any(line.startswith("*We change our mind if*") for line in body)
    ]
