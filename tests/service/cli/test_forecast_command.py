"""`trussline forecast`: what is told of a district, and how good it was."""

import json
from collections.abc import Callable

import pytest
from click.testing import Result

Run = Callable[..., Result]


@pytest.fixture
def run(eighty: Callable[[int], Run]) -> Run:
    """A terminal in a programme of eighty farmers, who have told weights for eighteen weeks."""
    return eighty(18)


def test_a_district_is_forecast_in_words_and_as_one_object(run: Run) -> None:
    """Both weeks, both together and what nobody tells; nothing is promised."""
    told = run("forecast", "show", "--district", "ndaliro")
    found = json.loads(run("forecast", "show", "--district", "Ndaliro", "--json").stdout)

    assert 0 == told.exit_code
    assert "Nothing of it is promised." in told.stdout
    assert (14, 14, 8, 2) == (
        found["days"],
        len(found["days_kg"]),
        len(found["past"]),
        len(found["weeks_kg"]),
    )
    assert found["all_kg"]["low"] < found["all_kg"]["expected"] < found["all_kg"]["high"]
    assert pytest.approx(found["all_kg"]["expected"], abs=0.01) == sum(found["days_kg"])
    # One farmer in five tells nothing, and one weight in nine is forgotten.
    assert found["picked_kg"] > found["all_kg"]["expected"]
    assert f"{found['all_kg']['expected']:,.0f} expected." in told.stdout.splitlines()[0]


def test_how_good_it_was(run: Run) -> None:
    """The errors beside those of two plain forecasts, and how many weeks lay within the range."""
    told = run("forecast", "backtest", "--district", "Ndaliro")
    found = json.loads(run("forecast", "backtest", "--district", "Ndaliro", "--trials", "4", "--json").stdout)

    assert "Of 16 weeks" in told.stdout
    assert "Last week again was off by" in told.stdout
    assert (8, 8) == (found["weeks"], len(found["tried"]))
    assert pytest.approx(found["inside"] / 8) == found["coverage"]
    assert {"forecast", "last_week_again", "mean_of_four_weeks"} == found["methods"].keys()
    assert all(score["mae_kg"] > 0 and score["mase"] > 0 for score in found["methods"].values())


@pytest.mark.parametrize("command", ["show", "backtest"])
def test_what_cannot_be_forecast_is_said_in_a_sentence(run: Run, command: str) -> None:
    """A district that is not there, and one in which nobody has told a weight."""
    nowhere = run("forecast", command, "--district", "Nowhere")
    assert 0 == run("district", "add", "Quiet").exit_code
    quiet = run("forecast", command, "--district", "Quiet")

    assert (1, 1) == (nowhere.exit_code, quiet.exit_code)
    assert "There is no district Nowhere: see `trussline district list`.\n" == nowhere.stderr
    assert "The farmers of Quiet have told weights in too few weeks" in quiet.stderr
