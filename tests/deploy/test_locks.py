"""The locks: complete, in step with pyproject.toml and with each other, and free of addresses."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
LOCKS = ("lock.txt", "lock-test.txt")
ALL_LOCKS = (*LOCKS, "lock-oracles.txt")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def text_of(lock: str) -> str:
    """Return a lock's text."""
    return (ROOT / "deploy" / lock).read_text(encoding="utf-8")


def pins(lock: str) -> dict[str, str]:
    """Return the version that a lock names for each package."""
    return dict(re.findall(r"^([\w.-]+)==(\S+)", text_of(lock), flags=re.MULTILINE))


def group(name: str) -> list[str]:
    """Return the requirements of one of pyproject's groups, those of the groups it includes with them."""
    wanted: list[str] = []
    for entry in PROJECT["dependency-groups"][name]:
        wanted += [entry] if isinstance(entry, str) else group(entry["include-group"])
    return wanted


RUNTIME: list[str] = PROJECT["project"]["dependencies"]
ASKED = [
    *((lock, wanted) for lock in LOCKS for wanted in (*RUNTIME, *group("build"))),
    *(("lock-test.txt", wanted) for wanted in group("test") if wanted not in group("build")),
    *(
        (lock, wanted)
        for lock in LOCKS
        for wanted in PROJECT["build-system"]["requires"]
        if wanted not in group("build")
    ),
    *(("lock-oracles.txt", wanted) for wanted in group("oracles")),
]


@pytest.mark.parametrize(("lock", "wanted"), [pytest.param(*case, id=" ".join(case)) for case in ASKED])
def test_lock_holds_what_the_project_asks_for(lock: str, wanted: str) -> None:
    """Each requirement is pinned at a version in its range."""
    requirement = Requirement(wanted)

    assert pins(lock)[canonicalize_name(requirement.name)] in requirement.specifier


@pytest.mark.parametrize("lock", ALL_LOCKS)
def test_every_package_is_pinned_by_hash(lock: str) -> None:
    """No package of a lock can be swapped for another file of the same version."""
    entries = re.split(r"^(?=[\w.-]+==)", text_of(lock), flags=re.MULTILINE)[1:]

    assert len(pins(lock)) == len(entries)
    assert [] == [entry for entry in entries if "--hash=sha256:" not in entry]


@pytest.mark.parametrize("lock", ALL_LOCKS)
def test_lock_names_no_registry(lock: str) -> None:
    """Whoever installs chooses where from."""
    assert [] == re.findall(r".*(?:://|--(?:extra-)?index-url|--find-links) .*", text_of(lock))


def test_checks_run_on_what_is_handed_out() -> None:
    """The tests' lock holds all of the other at the same versions."""
    assert pins("lock.txt").items() <= pins("lock-test.txt").items()


def test_oracles_leave_the_tools_of_the_tests_as_they_are() -> None:
    """What both locks of the tests name has one version, or the second would undo the first."""
    tools, oracles = pins("lock-test.txt"), pins("lock-oracles.txt")
    shared = tools.keys() & oracles.keys()

    assert {"packaging", "tzdata"} <= shared
    assert {name: tools[name] for name in shared} == {name: oracles[name] for name in shared}
