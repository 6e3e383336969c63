"""The rules of the house that no linter knows, each with a line that breaks it.

The line shows what the rule is about, and that the rule would be seen to be broken.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fnmatch import fnmatch
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
OURS = ("flows", "service", "scheduler")
TOP_LEVEL = {
    ".ci",
    ".git",
    ".gitignore",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "deploy",
    "flows",
    "pyproject.toml",
    "scheduler",
    "service",
    "tests",
}
LONGEST_MODULE = 300
# What once changed a database is not edited any more, and so not split either.
MIGRATIONS = "service/db/migrations/versions"
JUNK_DRAWER = re.compile(r"(utils?|helpers?|common|misc|managers?)\.py$")


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """Something that may not stand in a line.

    Attributes:
        name: the rule.
        pattern: what breaks it.
        example: a line that breaks it.
        folders: where it holds.
        homes: the files and folders in which it does not.
    """

    name: str
    pattern: str
    example: str
    folders: tuple[str, ...] = OURS
    homes: tuple[str, ...] = ()


RULES = [
    Rule(
        name="time has one home",
        pattern=r"datetime\.(now|utcnow|today)\(|date\.today\(|\btime\.time(_ns)?\(",
        example="planted_on = date.today()",
        # An id tells when it was made.
        homes=("service/clock.py", "service/ids.py"),
    ),
    Rule(
        name="ids and randomness have one home",
        pattern=r"\buuid\d\(|\brandom\.|^(import|from) (random|secrets|uuid)\b|os\.urandom",
        example="key = uuid4()",
        homes=("service/ids.py",),
    ),
    Rule(
        name="the environment is read in one place",
        pattern=r"\bos\.(environ|getenv)\b",
        example='port = os.environ["PORT"]',
        homes=("service/settings.py",),
    ),
    Rule(
        name="SQL stays in db",
        pattern=r"^\s*(from|import) (sqlalchemy|alembic|psycopg|sqlite3)\b",
        example="from sqlalchemy import select",
        homes=("service/db",),
    ),
    Rule(
        name="only ticks knows APScheduler",
        pattern=r"^\s*(from|import) apscheduler\b",
        example="from apscheduler.schedulers.blocking import BlockingScheduler",
        homes=("scheduler/ticks.py",),
    ),
    Rule(
        name="what is sent goes through the outbox",
        pattern=r"\bgateway\.(send|submit)\(",
        example="gateway.send(message)",
        homes=("scheduler/sender.py", "service/gateways"),
    ),
    Rule(
        name="pages and commands do not commit",
        pattern=r"\.commit\(\)",
        example="work.commit()",
        folders=("service/web", "service/cli"),
    ),
    Rule(
        name="the conversation is a table, not a ladder",
        pattern=r"\b(if|elif) .*\bstate (==|!=|is|is not|in|not in) .*\bState\.",
        example="elif state is State.KILOS:",
        folders=("flows",),
    ),
    Rule(
        name="texts for farmers stand in the catalogues",
        pattern=r"""\bSay\(f?["'][A-Z]""",
        example='Say("Thank you, we have it.")',
    ),
    Rule(
        name="a log event has a constant name",
        pattern=r"""\blog(ger)?\.\w+\(f["']""",
        example='log.info(f"sent {count}")',
    ),
    Rule(
        name="a silenced check names its rule",
        pattern=r"(type: ignore|noqa)(?!\[|: [A-Z])",
        example="value = call()  # type: ignore",
        folders=(*OURS, "deploy", "tests"),
    ),
    Rule(
        name="tests play with twins, not with patches",
        pattern=r"mock\.patch|MagicMock|monkeypatch\.setattr|\btime\.sleep\(",
        example='monkeypatch.setattr("service.clock.now", fake)',
        folders=("tests",),
    ),
    Rule(
        name="no test is passed over",
        pattern=r"pytest\.(skip|xfail|importorskip)\b|mark\.(skip|skipif|xfail)\b",
        example="@pytest.mark.skip",
        folders=("tests",),
    ),
]


def modules(folders: tuple[str, ...]) -> Iterator[Path]:
    """Find the Python files below some folders of the project, this one left out."""
    for folder in folders:
        yield from sorted(path for path in (ROOT / folder).rglob("*.py") if path != Path(__file__))


def lies_in(path: Path, homes: tuple[str, ...]) -> bool:
    """Tell whether a file is one of `homes`, or lies in one of them."""
    name = path.relative_to(ROOT).as_posix()
    return any(name == home or name.startswith(f"{home}/") for home in homes)


@pytest.mark.parametrize("rule", [pytest.param(rule, id=rule.name) for rule in RULES])
def test_rule_is_kept(rule: Rule) -> None:
    """No line of the project breaks the rule outside the places made for it."""
    pattern = re.compile(rule.pattern)
    broken = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path in modules(rule.folders)
        if not lies_in(path, rule.homes)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if pattern.search(line)
    ]

    assert pattern.search(rule.example)
    assert [] == broken


def test_no_junk_drawer() -> None:
    """Every module is named after what is in it."""
    assert JUNK_DRAWER.search("service/utils.py")
    assert [] == [str(path) for path in modules((*OURS, "deploy", "tests")) if JUNK_DRAWER.search(path.name)]


def test_no_module_grew_too_big() -> None:
    """A module is one thought; one that needs more than 300 lines is talked about, and split."""
    sizes = {
        path.relative_to(ROOT).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in modules((*OURS, "deploy"))
        if not lies_in(path, (MIGRATIONS,))
    }

    assert {} == {name: lines for name, lines in sizes.items() if lines > LONGEST_MODULE}


def test_nothing_else_at_the_top_level() -> None:
    """Whoever opens the project sees the three packages and what every project has."""
    ignored = [
        line.strip("/")
        for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
        if line and not line.startswith("#")
    ]
    there = {path.name for path in ROOT.iterdir()}

    assert set() == {
        name for name in there - TOP_LEVEL if not any(fnmatch(name, pattern) for pattern in ignored)
    }
