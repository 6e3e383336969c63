"""`trussline cohorts` and `trussline experiment`, as an administrator uses them."""

import json
from collections.abc import Callable
from datetime import timedelta

import pytest
from click.testing import Result

from service.clock import RealClock

Run = Callable[..., Result]


@pytest.fixture
def run(eighty: Callable[[int], Run]) -> Run:
    """A terminal in a programme of eighty farmers, who have told weights for eight weeks."""
    return eighty(8)


def test_cohorts_are_told_in_a_table_and_as_one_object(run: Run) -> None:
    """The same figures either way; whoever has told a weight is one of those who could."""
    table = run("cohorts", "--by", "district")
    found = json.loads(run("cohorts", "--by", "district", "--days", "28", "--json").stdout)

    assert 0 == table.exit_code
    assert found["cohorts"]
    for one in found["cohorts"]:
        assert 0 <= one["farmers_who_told"] <= one["farmers_bearing"]
        assert f"{one['farmers_who_told']} of {one['farmers_bearing']}" in table.stdout
        assert one["kg_a_plant"] is None or one["kg_a_plant"] >= one["kg_a_plant_at_least"]
    assert (None, []) == (found["held_out"], found["wordings"])


def test_an_administrator_holds_out_and_tries(run: Run) -> None:
    """Each is told, listed, compared, and kept in the record of what was done."""
    until = (RealClock().now() + timedelta(days=30)).date().isoformat()
    asked = run("experiment", "hold-out", "5")
    held = run("experiment", "hold-out", "5", "--yes")
    again = run("experiment", "hold-out", "6", "--yes")
    tried = run("experiment", "try", "week", "--until", until)
    listed = run("experiment", "show")
    compared = run("cohorts")
    ended = run("experiment", "end", "2")
    audit = run("audit", "list")

    assert asked.exit_code == 1
    assert "5 are held out of advice" in held.stdout
    assert (1, True) == (again.exit_code, "That stays so" in again.stderr)
    assert "second wording of week" in tried.stdout
    assert 2 == len(listed.stdout.splitlines())
    assert "In one of the groups nobody counts yet." in compared.stdout
    assert ended.stdout.startswith("Ended: experiment 2.")
    assert {True} == {word in audit.stdout for word in ("experiment.begun", "experiment.ended")}


def test_nothing_was_tried_yet(run: Run) -> None:
    """An empty list says so."""
    assert "There was no experiment yet.\n" == run("experiment", "show").stdout


def test_how_many_farmers_it_takes(run: Run) -> None:
    """A change that cannot be is a sentence."""
    told = run("experiment", "size", "--from", "40", "--by", "10")
    never = run("experiment", "size", "--from", "40", "--by", "70")

    assert "From 40 to 50 percent: 388 farmers in each of the two groups.\n" == told.stdout
    assert "they must differ" in never.stderr
