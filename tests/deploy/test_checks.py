"""How the checks are run and added up."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from checks import STAGES, Check, Checkout, Stage, check
from commands import ROOT, _locks_for
from environment import FOR_ORACLES, FOR_TEST, Environment
from refusal import Refusal


def ends(code: int) -> Stage:
    """Return a stage, part of both checks, that ends with an exit code."""
    return Stage(name=f"ends {code}", run=lambda _checkout: code)


def refuses(_checkout: Checkout) -> int:
    """Stand for a stage that cannot begin."""
    raise Refusal("There is no PostgreSQL here for the tests.")


def run(*stages: Stage) -> int:
    """Check a checkout that no stage looks at."""
    return check(Path(), Environment(folder=Path()), Check.WHOLE, stages)


def test_first_failure_gives_the_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    """All stages run; the first that fails gives the exit code; the time of each is listed."""
    code = run(ends(0), ends(3), ends(4))

    table = capsys.readouterr().out.split("\n\n")[-1]
    assert 3 == code
    assert ["passed", "failed", "failed"] == re.findall(r"\d s  (\w+)", table)


def test_all_passed(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a failure the exit code is 0."""
    assert 0 == run(ends(0), ends(0))
    assert "failed" not in capsys.readouterr().out


def test_what_runs_beside_speaks_when_the_others_are_done(capfd: pytest.CaptureFixture[str]) -> None:
    """Its words stand together under its name, it is timed by itself, and its failure is one."""

    def speaks(checkout: Checkout) -> int:
        subprocess.run([sys.executable, "-c", "print('one type too many')"], stdout=checkout.says, check=True)
        return 2

    code = run(Stage(name="types", run=speaks, beside=True), Stage(name="tests", run=lambda _checkout: 0))

    said = capfd.readouterr().out
    assert 2 == code
    assert said.startswith("\n== tests\n\n== types\none type too many\n\ntests ")
    assert ["passed", "failed"] == re.findall(r"\d s  (\w+)", said)


def test_stage_that_cannot_begin_is_a_failure(capsys: pytest.CaptureFixture[str]) -> None:
    """A missing engine or browser is never passed over: it fails with its sentence."""
    code = run(Stage(name="tests", run=refuses), ends(0))

    assert 1 == code
    assert "There is no PostgreSQL here for the tests.\n" == capsys.readouterr().err


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        (Check.QUICK, ["style", "format", "layers", "quick tests", "types"]),
        (Check.WHOLE, ["style", "format", "layers", "tests", "types", "wheel"]),
        (Check.DEEP, ["style", "format", "layers", "deep tests", "types", "wheel"]),
        (Check.COVERAGE, ["coverage"]),
    ],
)
def test_what_is_checked(wanted: Check, expected: list[str]) -> None:
    """The quick check leaves out what needs an engine, a browser or a minute; coverage is asked for by itself."""
    assert expected == [stage.name for stage in STAGES if wanted in stage.part_of]


class Watched(Checkout):
    """A checkout that runs nothing and tells what would have been run."""

    def run(self, *command: str, **_variables: str) -> int:
        """Tell a command instead of running it."""
        sys.stdout.write(" ".join(command))
        return 0


@pytest.mark.parametrize("name", ["quick tests", "coverage"])
def test_only_the_whole_check_asks_second_opinions(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither are their libraries fetched for the others, nor is a test read that wants them."""
    (stage,) = (stage for stage in STAGES if stage.name == name)
    stage.run(Watched(root=ROOT, environment=Environment(folder=Path())))
    said = capsys.readouterr().out

    assert "--ignore=tests/oracles" in said or "tests/flows" in said
    assert [(FOR_TEST,), (FOR_TEST,), (FOR_TEST, FOR_ORACLES)] == [
        _locks_for(wanted) for wanted in (Check.QUICK, Check.COVERAGE, Check.WHOLE)
    ]


def test_what_the_quick_check_tests_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    """A folder that moved would silently be tested no more."""
    (stage,) = (stage for stage in STAGES if stage.name == "quick tests")
    stage.run(Watched(root=ROOT, environment=Environment(folder=Path())))
    named = re.findall(r"tests/[\w/.]+", capsys.readouterr().out)

    assert named
    assert [] == [path for path in named if not (ROOT / path).exists()]
