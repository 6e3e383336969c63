"""The measurement of planning: small, but through the very same steps."""

import json

import pytest
from click.testing import CliRunner

from scheduler.bench_command import bench

FIGURES = {
    "farmers",
    "rows",
    "seconds",
    "floor_seconds",
    "ratio",
    "peak_mb",
    "replay_rows",
    "replay_seconds",
    "runs",
    "seconds_min",
    "seconds_max",
    "python",
    "sqlite",
}


@pytest.mark.slow
def test_the_figures_come_as_one_json_object() -> None:
    """The plan of a day for 300 farmers makes reminders, planning it again makes none, and all figures are told."""
    told = CliRunner().invoke(bench, ["plan", "--farmers", "300", "--runs", "2", "--json"])

    assert 0 == told.exit_code
    figures = json.loads(told.stdout)
    assert set(figures) == FIGURES
    assert (300, 2, 0) == (figures["farmers"], figures["runs"], figures["replay_rows"])
    # Weekly, fortnightly and picking jobs make about four reminders for five farmers a day.
    assert 150 < figures["rows"] < 350
    assert figures["seconds"] > 0
    assert figures["ratio"] == pytest.approx(figures["seconds"] / figures["floor_seconds"], rel=0.05)


@pytest.mark.slow
def test_without_json_the_figures_stand_in_a_table() -> None:
    """A person reads one figure a line."""
    told = CliRunner().invoke(bench, ["plan", "--farmers", "50", "--runs", "1"])

    assert 0 == told.exit_code
    assert FIGURES == {line.split()[0] for line in told.stdout.splitlines()}
