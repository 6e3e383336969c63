"""How the checks are run and added up."""

import re
import sys
from pathlib import Path

import pytest

from checks import STAGES, Checkout, Stage, check
from commands import _locks_for
from environment import FOR_ORACLES, FOR_TEST, Environment
from refusal import Refusal


def ends(code: int) -> Stage:
    """Return a stage, part of both checks, that ends with an exit code."""
    return Stage(name=f"ends {code}", run=lambda _checkout: code)


def refuses(_checkout: Checkout) -> int:
    """Stand for a stage that cannot begin."""
    raise Refusal("There is no PostgreSQL here for the tests.")


def run(*stages: Stage, quick: bool = False) -> int:
    """Check a checkout that no stage looks at."""
    return check(Path(), Environment(folder=Path()), quick=quick, stages=stages)


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


def test_stage_that_cannot_begin_is_a_failure(capsys: pytest.CaptureFixture[str]) -> None:
    """A missing engine or browser is never passed over: it fails with its sentence."""
    code = run(Stage(name="tests", run=refuses), ends(0))

    assert 1 == code
    assert "There is no PostgreSQL here for the tests.\n" == capsys.readouterr().err


@pytest.mark.parametrize(
    ("quick", "expected"),
    [
        pytest.param(True, ["style", "format", "types", "layers", "fast tests"], id="quick"),
        pytest.param(
            False, ["style", "format", "types", "layers", "tests", "slower tests", "wheel"], id="whole"
        ),
    ],
)
def test_what_is_checked(quick: bool, expected: list[str]) -> None:  # noqa: FBT001 - a case's value
    """The quick check leaves out what needs an engine, a browser or a minute."""
    assert expected == [stage.name for stage in STAGES if (stage.quick if quick else stage.whole)]


class Watched(Checkout):
    """A checkout that runs nothing and tells what would have been run."""

    def run(self, *command: str, **_variables: str) -> int:
        """Tell a command instead of running it."""
        sys.stdout.write(" ".join(command))
        return 0


def test_the_quick_check_needs_no_second_opinions(capsys: pytest.CaptureFixture[str]) -> None:
    """Neither their libraries are fetched for it nor is a test read that wants them; the whole check has them."""
    (fast,) = (stage for stage in STAGES if stage.name == "fast tests")
    fast.run(Watched(root=Path(), environment=Environment(folder=Path())))

    assert "--ignore=tests/oracles" in capsys.readouterr().out
    assert (FOR_TEST,) == _locks_for(quick=True)
    assert (FOR_TEST, FOR_ORACLES) == _locks_for(quick=False)
