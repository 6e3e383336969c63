"""The checks a change must pass: the same for people and for the machine that guards the main branch."""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path
from typing import IO, Final

from environment import Environment
from machine import chromium, memory
from postgres_for_tests import server
from refusal import Refusal
from wheel import try_wheel

# One more than the smallest machine has cores that we check on: some tests wait for disks, servers and pages.
_PROCESSES: Final = "3"
_QUICK: Final = "2"
_BESIDE: Final = "slow or postgres or browser"
# What changes are mostly about, and what holds the house together: less than a minute.
_INNER: Final = (
    "tests/flows",
    "tests/service/agronomy",
    "tests/service/core",
    "tests/service/db",
    "tests/service/gateways",
    "tests/test_docs.py",
    "tests/test_house.py",
)


class Check(Enum):
    """Which checks are wanted."""

    QUICK = "quick"
    WHOLE = "whole"
    DEEP = "deep"
    COVERAGE = "coverage"


@dataclass(frozen=True, kw_only=True, slots=True)
class Checkout:
    """What the checks look at.

    Attributes:
        root: the checkout's folder.
        environment: where its tools are.
        says: where they write, else on the screen.
    """

    root: Path
    environment: Environment
    says: IO[str] | None = None

    def run(self, *command: str, **more: str) -> int:
        """Run one of the environment's programs, with `more` environment variables; return its exit code."""
        program, *arguments = command
        return subprocess.run(
            [self.environment.program(program), *arguments],
            cwd=self.root,
            env=self.environment.variables() | more,
            stdout=self.says,
            stderr=self.says,
            check=False,
        ).returncode


@dataclass(frozen=True, kw_only=True, slots=True)
class Stage:
    """One check.

    Attributes:
        name: as the list at the end shows it.
        run: does it and returns an exit code.
        part_of: the checks in which it is done.
        beside: whether it runs while the others do, and is told of when they are done.
    """

    name: str
    run: Callable[[Checkout], int]
    part_of: frozenset[Check] = frozenset((Check.QUICK, Check.WHOLE, Check.DEEP))
    beside: bool = False


def _tools(*command: str) -> Callable[[Checkout], int]:
    return lambda checkout: checkout.run(*command)


def _run_pytest(checkout: Checkout, processes: str, *arguments: str, **more: str) -> int:
    with tempfile.TemporaryDirectory(prefix="trussline-check-", dir=memory()) as folder:
        return checkout.run(
            "pytest", "--quiet", "--numprocesses", processes, "--dist=worksteal", f"--basetemp={folder}/tests",
            *arguments,
            TMPDIR=folder,
            # Each process would rewrite and compile all tests, and each command all modules, again and again.
            PYTHONDONTWRITEBYTECODE="",
            **more,
        )  # fmt: skip


def _quick_tests(checkout: Checkout) -> int:
    return _run_pytest(checkout, _QUICK, "-m", f"not ({_BESIDE})", "--hypothesis-profile=quick", *_INNER)


def _tests(checkout: Checkout, **more: str) -> int:
    with _postgres(checkout) as address:
        return _run_pytest(
            checkout, _PROCESSES, TEST_DATABASE_URL=address, TRUSSLINE_TEST_CHROMIUM=chromium(), **more
        )


def _deep_tests(checkout: Checkout) -> int:
    return _tests(checkout, TRUSSLINE_TEST_DEEP="1")


def _coverage(checkout: Checkout) -> int:
    """Measure the fast tests: the others walk the same lines again, for longer and on the other engine."""
    return _run_pytest(
        checkout, _PROCESSES, "-m", f"not ({_BESIDE})", "--ignore=tests/oracles", "--cov", "--cov-report=term"
    )


@contextmanager
def _postgres(checkout: Checkout) -> Iterator[str]:
    given = os.environ.get("TEST_DATABASE_URL")
    if given:
        yield given
        return
    with server(checkout.environment.program("python")) as address:
        yield address


def _wheel(checkout: Checkout) -> int:
    try_wheel(checkout.root, checkout.environment)
    return 0


STAGES: Final = (
    Stage(name="style", run=_tools("ruff", "check")),
    Stage(name="format", run=_tools("ruff", "format", "--check")),
    Stage(name="layers", run=_tools("lint-imports", "--no-logo")),
    Stage(name="quick tests", run=_quick_tests, part_of=frozenset((Check.QUICK,))),
    Stage(name="tests", run=_tests, part_of=frozenset((Check.WHOLE,))),
    Stage(name="deep tests", run=_deep_tests, part_of=frozenset((Check.DEEP,))),
    Stage(name="coverage", run=_coverage, part_of=frozenset((Check.COVERAGE,))),
    Stage(name="types", run=_tools("mypy"), beside=True),
    Stage(name="wheel", run=_wheel, part_of=frozenset((Check.WHOLE, Check.DEEP)), beside=True),
)


def check(root: Path, environment: Environment, wanted: Check, stages: tuple[Stage, ...] = STAGES) -> int:
    """Run the stages of a check, all of them also when one fails, and list how long each took.

    Those that run beside take turns in one thread: many tests wait for pages, servers and disks.

    Returns:
        The exit code of the first that failed, or 0.
    """
    checkout = Checkout(root=root, environment=environment)
    wanted_stages = [stage for stage in stages if wanted in stage.part_of]
    with ThreadPoolExecutor(max_workers=1) as aside:
        waiting = [(stage, aside.submit(_aside, stage, checkout)) for stage in wanted_stages if stage.beside]
        done = []
        for stage in wanted_stages:
            if not stage.beside:
                _begin(stage)
                done.append((stage, _timed(stage, checkout)))
        for stage, running in waiting:
            _begin(stage)
            outcome, words = running.result()
            print(words, end="", flush=True)
            done.append((stage, outcome))

    print(flush=True)
    for stage, outcome in done:
        print(
            f"{stage.name:20}{outcome.seconds:7.1f} s  {'failed' if outcome.code else 'passed'}", flush=True
        )
    return next((outcome.code for _, outcome in done if outcome.code), 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Outcome:
    code: int
    seconds: float


def _begin(stage: Stage) -> None:
    print(f"\n== {stage.name}", flush=True)


def _aside(stage: Stage, checkout: Checkout) -> tuple[_Outcome, str]:
    """Run a stage whose words are kept, and return them with its outcome."""
    with tempfile.TemporaryFile("w+", encoding="utf-8") as says:
        outcome = _timed(stage, replace(checkout, says=says))
        says.seek(0)
        return outcome, says.read()


def _timed(stage: Stage, checkout: Checkout) -> _Outcome:
    begun = time.monotonic()
    code = _code(stage, checkout)
    return _Outcome(code=code, seconds=time.monotonic() - begun)


def _code(stage: Stage, checkout: Checkout) -> int:
    try:
        return stage.run(checkout)
    except Refusal as refusal:
        print(refusal, file=checkout.says or sys.stderr, flush=True)
        return 1
