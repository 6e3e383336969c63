"""The measurements: small, but through the very same steps. Nothing here judges how fast anything was."""

import json
from typing import Any

import pytest
from click.testing import CliRunner

from scheduler.bench_command import bench

pytestmark = pytest.mark.slow

MACHINE = {
    "bench",
    "rounds",
    "python",
    "engine",
    "engine_version",
    "sqlalchemy",
    "system",
    "cores",
    "load_before",
    "load_after",
    "goals",
}


def measured(*words: str) -> dict[str, Any]:
    """Return the figures that a bench tells as JSON."""
    told = CliRunner().invoke(bench, [*words, "--rounds", "2", "--json"], catch_exceptions=False)
    assert 0 == told.exit_code
    figures: dict[str, Any] = json.loads(told.stdout)
    assert figures.keys() >= MACHINE
    return figures


def is_ratio(figures: dict[str, Any], name: str, over: float, under: float) -> bool:
    """Tell whether a ratio is that of its parts, which are rounded to a tenth of a millisecond."""
    return bool(figures[name] == pytest.approx(over / under, rel=0.05))


def test_a_day_is_planned_once(address: str) -> None:
    """The plan of a day makes reminders, planning it again makes none, and each ratio is that of its parts."""
    figures = measured("plan", "--farmers", "1000", "--database", address)

    # Weekly, fortnightly and picking jobs make about four reminders for five farmers a day.
    assert 600 < figures["rows"] < 1000
    assert (1000, 2, 0) == (figures["farmers"], figures["rounds"], figures["replay_rows"])
    assert is_ratio(figures, "ratio", figures["seconds"], figures["floor_seconds"])
    assert is_ratio(figures, "replay_ratio", figures["replay_seconds"], figures["floor_seconds"])
    assert is_ratio(figures, "tenfold_ratio", figures["seconds"], figures["tenth_seconds"])
    assert figures["seconds_min"] <= figures["seconds"] <= figures["seconds_max"]
    assert figures["later_ratio"] > 0
    assert figures["goals"].keys() == {
        "ratio",
        "replay_rows",
        "replay_ratio",
        "tenfold_ratio",
        "peak_mb",
        "later_ratio",
    }


def test_each_farmer_with_a_job_gets_one_text(address: str) -> None:
    """Fewer texts than reminders, as one text holds all jobs of a farmer, and no more than farmers."""
    figures = measured("merge", "--farmers", "300", "--database", address)

    assert 0 < figures["texts"] < figures["reminders"] <= 300
    assert is_ratio(figures, "ratio", figures["seconds"], figures["floor_seconds"])


def test_an_alert_reaches_every_phone_and_is_called_off(address: str) -> None:
    """A window left before the reply and the rest of a window with it; all others are called off, none leaves later."""
    figures = measured("alert", "--farmers", "300", "--database", address)

    assert (300, 1, 0) == (figures["phones"], figures["reply_batches"], figures["left_over"])
    assert 300 - (8 + 7) == figures["cancelled"]
    took = figures["confirm_seconds"] + figures["expand_seconds"]
    bare = figures["recipients_floor_seconds"] + figures["messages_floor_seconds"]
    assert is_ratio(figures, "ratio", took, bare)
    assert figures["goals"]["cancel_slowest"]["held"] == (figures["cancel_slowest"] <= 2)


def test_every_text_that_was_acknowledged_is_stored(address: str) -> None:
    """Two rounds as fast as may be and two at a steady pace, after four to warm up, with work beside all the while."""
    figures = measured("inbound", "--texts", "20", "--database", address)

    assert 4 + 2 * 20 + 2 * figures["paced"] == figures["stored"]
    assert is_ratio(figures, "ratio", figures["floor_seconds"], figures["seconds"])
    assert figures["p50_ms"] <= figures["p99_ms"] <= figures["slowest_ms"]
    # A hundred farmers: what one day of the work beside makes, at least.
    assert figures["beside_alerted"] >= 100
    assert figures["beside_texts"] > 0


def test_all_plots_are_forecast_and_judged(address: str) -> None:
    """Four districts with some weights a plot; the ratio is that of all to the reading alone."""
    figures = measured("agronomy", "--farmers", "200", "--database", address)

    assert (4, 200, 200) == (figures["forecasts"], figures["plots"], figures["judged"])
    # Two weights a week for sixty days, less those forgotten, from the four in five plots of age that tell any.
    assert 1500 < figures["weights"] < 2500
    assert is_ratio(figures, "ratio", figures["seconds"], figures["floor_seconds"])


def test_without_json_the_figures_stand_in_a_table() -> None:
    """A person reads one figure a line, its goal beside it."""
    told = CliRunner().invoke(bench, ["merge", "--farmers", "50", "--rounds", "1"])

    assert 0 == told.exit_code
    lines = {line.split()[0]: line for line in told.stdout.splitlines()}
    assert lines.keys() >= MACHINE - {"goals"}
    assert "at most 4: " in lines["ratio"]


def test_only_a_server_can_be_named() -> None:
    """A file that somebody uses is never measured on."""
    told = CliRunner().invoke(bench, ["plan", "--database", "sqlite:///trussline.db"])

    assert told.exit_code
    assert "Give an address like postgresql://" in str(told.exception)


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def address(request: pytest.FixtureRequest) -> str:
    """What to give as --database: nothing for files, or a server."""
    if request.param == "sqlite":
        return ""
    server: str = request.getfixturevalue("postgres_databases").address.render_as_string(hide_password=False)
    return server
