"""A file that names only what differs from the shipped calendar: what comes of it, and how a wrong one is refused."""

from dataclasses import replace
from pathlib import Path

import pytest

from service.agronomy.calendar import Calendar, CalendarError, load_calendar

SHIPPED = load_calendar()
# An invented programme takes flowers off for 90 days only, and lays straw nobody looks after.
SOONER = """
version = 3

[first_fruit]
days = [114, 134]
high_days = [115, 150]
source = "invented"

[tasks.flowers_off]
last = 89
source = "invented"

[tasks.flowers_stay]
first = 90
source = "invented"

[tasks.picking]
first = 114
source = "invented"

[tasks.mulch]
drop = true
source = "invented"
"""


def load(tmp_path: Path, text: str) -> Calendar:
    """Return the calendar that a file of what differs leads to."""
    path = tmp_path / "sooner.toml"
    path.write_text(text, encoding="utf-8")
    return load_calendar(path)


def test_what_is_named_differs_and_all_else_stays(tmp_path: Path) -> None:
    """Only the jobs named are others, and the calendar keeps its name, so that plots stay with it."""
    found = load(tmp_path, SOONER)
    same = [task.id for task in found.tasks if task == SHIPPED.by_id[task.id]]

    assert (SHIPPED.id, f"{SHIPPED.version}.3") == (found.id, found.edition)
    assert (89, (90,), 114) == (
        found.by_id["flowers_off"].last,
        found.by_id["flowers_stay"].first,
        found.picking_from,
    )
    assert ((114, 134), 2000) == (found.first_fruit.days, found.first_fruit.high_from_m)
    assert set(SHIPPED.by_id) - set(found.by_id) == {"mulch"}
    assert [
        one.id for one in SHIPPED.tasks if one.id not in {"flowers_off", "flowers_stay", "picking", "mulch"}
    ] == same


def test_a_version_alone_changes_nothing_else(tmp_path: Path) -> None:
    """A file may be begun before anything differs."""
    assert replace(SHIPPED, changes=1) == load(tmp_path, "version = 1\n")


def test_the_day_may_differ_on_which_weekly_jobs_move_to_a_picking_day(tmp_path: Path) -> None:
    """Nothing else changes with it."""
    assert replace(SHIPPED, changes=1, riding_moves=21) == load(tmp_path, "version = 1\nriding_moves = 21\n")


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param("version = 3", "", "version: give it a whole number from 1", id="no version"),
        pytest.param("version = 3", "version = 0", "version: give it a whole number from 1", id="version 0"),
        pytest.param(
            "version = 3", "version = 3\ncolour = 1", "colour: it is none of first_fruit", id="what"
        ),
        pytest.param(
            "[tasks.mulch]", "[tasks.hoeing]", "task 'hoeing': the calendar that is shipped has no", id="job"
        ),
        pytest.param("drop = true\n", "", "task 'mulch': name some of its figures", id="nothing"),
        pytest.param(
            "drop = true\n", "drop = true\nlast = 90\n", "task 'mulch': either drop = true", id="both"
        ),
        pytest.param("drop = true\n", "drop = 1\n", "task 'mulch': either drop = true", id="drop what"),
        pytest.param("drop = true\n", 'id = "straw"\n', "task 'mulch': its id stays as it is", id="id"),
        pytest.param(
            'last = 89\nsource = "invented"', "last = 89", "task 'flowers_off': say with source", id="source"
        ),
        pytest.param(
            "last = 89", "last = 95", "flowers_off must be over before flowers_stay", id="told both"
        ),
        pytest.param(
            "last = 89", 'last = "long"', "task 'flowers_off' last: Input should be", id="no number"
        ),
        pytest.param("last = 89", "colour = 3", "task 'flowers_off' colour: Unexpected", id="no figure"),
        pytest.param("[114, 134]", "[114]", "first_fruit.days", id="one day"),
    ],
)
def test_what_makes_no_sense_is_refused(tmp_path: Path, old: str, new: str, sentence: str) -> None:
    """The file and the entry are named, and what is wrong with it."""
    assert 1 == SOONER.count(old)
    with pytest.raises(CalendarError, match=r"sooner\.toml") as caught:
        load(tmp_path, SOONER.replace(old, new))

    assert sentence in str(caught.value)
