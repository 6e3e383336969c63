"""The crop calendar as a file: what the shipped one says, and how a wrong one is refused."""

from datetime import date
from pathlib import Path

import pytest

from service.agronomy.calendar import DEFAULT_CALENDAR, END, Calendar, CalendarError, Rides, load_calendar

PLANTED = date(2026, 3, 2)


@pytest.fixture(scope="module")
def calendar() -> Calendar:
    """The calendar as shipped."""
    return load_calendar()


# Common practice, no source, but for the days first fruit may be ripe (see below).
FIGURES = {
    # task: (first ages, number of occurrences, last age, useful days, min gap, rank)
    "land": ((-60,), 1, END, 10, 0, 3),
    "lime": ((-45,), 1, END, 10, 0, 3),
    "beds": ((-21,), 1, END, 10, 0, 3),
    "plants_in": ((-14,), 1, END, 10, 0, 3),
    "mulch_down": ((-7,), 1, END, 10, 0, 3),
    "crown_check": ((3,), 1, END, 4, 0, 2),
    "water_young": ((1, 8), 2, END, 5, 4, 1),
    "gaps": ((14, 21), 2, END, 7, 5, 2),
    "flowers_off": ((21, 28, 35), 14, 113, 6, 5, 1),
    "flowers_stay": ((120, 123), 2, END, 14, 3, 1),
    "scout": ((21, 28, 35), 154, END, 4, 5, 2),
    "weeds": ((14, 28, 42), 78, END, 10, 10, 4),
    "water": ((14, 28, 42), 78, END, 10, 10, 3),
    "runners": ((30, 37, 44), 83, END, 6, 5, 3),
    "old_leaves": ((30, 44, 58), 77, END, 10, 10, 3),
    "mulch": ((30, 60, 90), 36, END, 14, 20, 5),
    "compost": ((30, 60, 90), 36, END, 14, 20, 4),
    "first_fruit": ((137,), 1, END, 10, 0, 2),
    "picking": ((144,), 1, END, 1, 1, 1),
    "recount": ((120, 240, 360), 9, END, 14, 60, 5),
    "order_plants": ((730,), 1, END, 60, 0, 3),
    "renew": ((910, 940, 970), 7, END, 20, 25, 3),
}


def test_shipped_calendar_has_exactly_the_known_tasks(calendar: Calendar) -> None:
    """No job is missing and none came in unseen."""
    assert set(FIGURES) == set(calendar.by_id)


@pytest.mark.parametrize("task_id", FIGURES)
def test_shipped_figures(calendar: Calendar, task_id: str) -> None:
    """Every task has the ages, usefulness, gap and rank that were agreed on."""
    task = calendar.by_id[task_id]
    days = task.nominal_days
    shown = len(FIGURES[task_id][0])

    assert FIGURES[task_id] == (days[:shown], len(days), task.last, task.useful, task.min_gap, task.rank)


def test_runners_slow_down_after_day_120(calendar: Calendar) -> None:
    """Runners are cut weekly to day 120 and every second week from then on."""
    days = calendar.by_id["runners"].nominal_days

    assert (107, 114, 128, 142, 156) == tuple(day for day in days if 100 < day < 160)


def test_only_flowers_stay_stands_outside_the_cap(calendar: Calendar) -> None:
    """One task is so costly to miss that it is exempt, and it alone falls on an exact day."""
    assert ["flowers_stay"] == [task.id for task in calendar.tasks if task.outside_cap]
    assert ["flowers_stay"] == [task.id for task in calendar.tasks if task.rides is Rides.EXACT_DAY]
    assert ["picking"] == [task.id for task in calendar.tasks if task.rides is Rides.PICKING_DAYS]


def test_every_task_names_its_source(calendar: Calendar) -> None:
    """Whoever asks why gets a published name with its year or title, or an honest 'no source'."""
    unsourced = [
        task.id for task in calendar.tasks if "no source" not in task.source and "," not in task.source
    ]

    assert [] == unsourced


@pytest.mark.parametrize(
    ("elevation_m", "expected"),
    [
        pytest.param(None, (date(2026, 7, 24), date(2026, 8, 13)), id="unknown"),
        pytest.param(1999, (date(2026, 7, 24), date(2026, 8, 13)), id="below"),
        pytest.param(2000, (date(2026, 7, 25), date(2026, 8, 29)), id="high"),
    ],
)
def test_first_fruit_is_a_range(
    calendar: Calendar, elevation_m: int | None, expected: tuple[date, date]
) -> None:
    """Day 144 to 164, from 2,000 m day 145 to 180 (higher up: common practice, no source)."""
    assert expected == calendar.first_fruit_between(PLANTED, elevation_m)


def test_first_fruit_agrees_with_published_development_time(calendar: Calendar) -> None:
    """Flowers kept ripen 24 to 44 days later: Chandler (2004), Proc. Fla. State Hort. Soc. 117."""
    kept_from = calendar.by_id["flowers_stay"].first[0]

    assert (kept_from + 24, kept_from + 44) == calendar.first_fruit.days


@pytest.mark.parametrize(
    ("day", "weeks"),
    [
        pytest.param(date(2026, 6, 9), 3, id="day 99"),
        pytest.param(date(2026, 6, 15), 3, id="day 105"),
        pytest.param(date(2026, 6, 16), 2, id="day 106"),
        pytest.param(date(2026, 6, 29), 1, id="day 119"),
        pytest.param(date(2026, 6, 30), 0, id="day 120"),
        pytest.param(date(2026, 7, 30), 0, id="later"),
    ],
)
def test_weeks_of_flower_removal_left(calendar: Calendar, day: date, weeks: int) -> None:
    """The last texts about flowers count down in weeks, a begun week counting as one."""
    assert weeks == calendar.flower_weeks_left(PLANTED, day)


BROKEN = {
    # what is changed in the shipped file: (old, new, what the sentence must hold)
    "unknown key": ('id = "gaps"\n', 'id = "gaps"\ncolour = 3\n', ("task 'gaps' colour", "Unexpected")),
    "useful for no day": (
        "useful = 7\n",
        "useful = 0\n",
        ("task 'gaps' useful", "greater than or equal to 1"),
    ),
    "task without a source": (
        'source = "NC State Extension',
        'remark = "NC State Extension',
        ("task 'scout' source", "required"),
    ),
    "unknown ride": ('"exact_day"', '"someday"', ("task 'flowers_stay' rides", "'exact_day'")),
    "falling days": ("first = [14, 21]", "first = [21, 14]", ("task 'gaps'", "must rise")),
    "twice in one week": ("first = [14, 21]", "first = [14, 19]", ("task 'gaps'", "at least 7 days")),
    "over before it begins": (
        "last = 113",
        "last = 20",
        ("task 'flowers_off'", "day 21 lies after the last day, 20"),
    ),
    "of use for too long": (
        "useful = 60\n",
        "useful = 69\n",
        ("task 'order_plants'", "useful is at most 68"),
    ),
    "too far apart": ("min_gap = 60\n", "min_gap = 62\n", ("task 'recount'", "at most 75 days together")),
    "same id twice": ('id = "gaps"', 'id = "water"', ("tasks", "same id")),
    "no id": ('id = "gaps"\n', "", ("task 8 id", "required")),
    "told both": ("last = 113", "last = 120", ("flowers_off must be over",)),
    "nothing to pick": ('rides = "picking_days"\n', "", ("exactly one task",)),
    "no TOML": ("[[tasks]]", "[[tasks", ("the file itself", "no TOML")),
}


@pytest.mark.parametrize(("old", "new", "parts"), BROKEN.values(), ids=BROKEN)
def test_wrong_file_is_refused_with_a_sentence(
    tmp_path: Path, old: str, new: str, parts: tuple[str, ...]
) -> None:
    """The sentence names the file and the entry, says what is wrong and what to do."""
    path = tmp_path / "zaruvi.toml"
    shipped = DEFAULT_CALENDAR.read_text(encoding="utf-8")
    path.write_text(shipped.replace(old, new), encoding="utf-8")

    with pytest.raises(CalendarError) as caught:
        load_calendar(path)

    sentence = str(caught.value)
    assert shipped != path.read_text(encoding="utf-8")
    assert [] == [part for part in ("zaruvi.toml", "Correct the entry", *parts) if part not in sentence], (
        sentence
    )


def test_missing_file_is_refused_with_a_sentence(tmp_path: Path) -> None:
    """A wrong path is said to be one."""
    with pytest.raises(CalendarError, match=r"nowhere\.toml, the file itself: No such file"):
        load_calendar(tmp_path / "nowhere.toml")


def test_task_list_that_is_no_list_is_refused(tmp_path: Path) -> None:
    """A file of quite another shape still gets a sentence rather than a traceback."""
    path = tmp_path / "odd.toml"
    path.write_text('id = "odd"\nversion = 1\ntasks = 3\n', encoding="utf-8")

    with pytest.raises(CalendarError, match=r"odd\.toml, first_fruit: Field required"):
        load_calendar(path)
