"""Jobs that some plots have on other days, or not at all: the calendar, and the forms of being due."""

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.calendar import Calendar, CalendarError, load_calendar
from service.agronomy.due import DayColumn, PlotDays, Span, is_due, picking_text_day, season, spans
from service.agronomy.traits import UNTOLD, PlotTraits, every_kind
from tests.by_plot import ENTRIES, written

SHIPPED = load_calendar()
MONDAY = date(2026, 3, 2)
KINDS = tuple(every_kind())


@pytest.fixture(scope="module")
def calendar(tmp_path_factory: pytest.TempPathFactory) -> Calendar:
    """The invented calendar."""
    return load_calendar(written(tmp_path_factory.mktemp("calendar") / "own.toml", ENTRIES))


def plot(traits: PlotTraits, text_day: int = 2, pick_days: tuple[int, ...] = (1, 4)) -> PlotDays:
    """Return a plot planted on a Monday."""
    return PlotDays(
        planted_on=MONDAY,
        text_day=text_day,
        picking_text_day=picking_text_day(text_day, pick_days),
        prompt_days=frozenset(pick_days),
        traits=traits,
    )


def ages(calendar: Calendar, task: str, traits: PlotTraits) -> list[int]:
    """Return the ages at which a plot has a job."""
    days = season(calendar, plot(traits), MONDAY, MONDAY + timedelta(days=1200))
    return [(due.due_on - MONDAY).days for due in days if due.task.id == task]


def test_mother_rows_keep_their_runners(calendar: Calendar) -> None:
    """Where runners are wanted nobody is told to cut them; all else stays."""
    mother = PlotTraits(mother_rows="yes")
    days = season(calendar, plot(mother), MONDAY, MONDAY + timedelta(days=200))

    assert [] == ages(calendar, "runners", mother)
    assert ages(SHIPPED, "runners", UNTOLD) == ages(calendar, "runners", PlotTraits(mother_rows="no"))
    assert "weeds" in {due.task.id for due in days}


@pytest.mark.parametrize(
    ("traits", "last_off", "stays", "first_pick"),
    [
        pytest.param(UNTOLD, 107, 120, 144, id="nobody told"),
        pytest.param(PlotTraits(plant_type="day_neutral"), 107, 120, 144, id="day-neutral, stock not told"),
        pytest.param(PlotTraits(plant_type="day_neutral", stock="plug"), 65, 70, 95, id="day-neutral plugs"),
        pytest.param(PlotTraits(plant_type="short_day", stock="plug"), 205, 210, 235, id="short-day plugs"),
    ],
)
def test_flowers_stay_when_the_plants_allow(
    calendar: Calendar, traits: PlotTraits, last_off: int, stays: int, first_pick: int
) -> None:
    """Counted by hand on a plot planted on a Monday, text day Wednesday, picking on Tuesdays and Fridays."""
    assert last_off == ages(calendar, "flowers_off", traits)[-1]
    assert stays == ages(calendar, "flowers_stay", traits)[0]
    assert first_pick == ages(calendar, "picking", traits)[0]


def test_weekly_jobs_move_before_the_plot_s_own_picking(calendar: Calendar) -> None:
    """Two weeks before picking they are on Fridays, be picking early or late."""
    late, early = PlotTraits(plant_type="short_day"), PlotTraits(plant_type="day_neutral", stock="plug")

    assert {2} == {age % 7 for age in ages(calendar, "scout", late) if age < 220}
    assert {4} == {age % 7 for age in ages(calendar, "scout", late) if age >= 226}
    assert {4} == {age % 7 for age in ages(calendar, "scout", early) if age >= 86}


def test_first_fruit_moves_with_picking(calendar: Calendar) -> None:
    """Ninety days later than the shipped 144 to 164, and fifty sooner."""
    late = calendar.for_plot(PlotTraits(plant_type="short_day"))
    early = calendar.for_plot(PlotTraits(plant_type="day_neutral", stock="plug"))

    assert (234, 254) == late.first_fruit.days
    assert (94, 114) == early.first_fruit.days
    assert 3 == late.flower_weeks_left(MONDAY, MONDAY + timedelta(days=190))


def test_the_first_entry_that_means_a_plot_counts(tmp_path: Path) -> None:
    """Of several entries that mean a plot the later ones are not looked at."""
    both = (
        'for = { mulch = ["straw"] }\nfirst = 40\n%\n'
        'for = { stock = ["plug"], mulch = ["straw", "plastic"] }\nfirst = 60'
    )
    calendar = load_calendar(written(tmp_path / "own.toml", {"mulch": both}))

    assert 44 == ages(calendar, "mulch", PlotTraits(mulch="straw", stock="plug"))[0]
    assert 65 == ages(calendar, "mulch", PlotTraits(mulch="plastic", stock="plug"))[0]
    assert 30 == ages(calendar, "mulch", PlotTraits(mulch="plastic"))[0]


def test_a_calendar_without_entries_is_the_same_for_all() -> None:
    """It bars no plot, and there is but one of it."""
    plain = replace(SHIPPED, tasks=tuple(replace(task, instead=()) for task in SHIPPED.tasks))

    assert plain is plain.for_plot(PlotTraits(mother_rows="yes"))
    assert {0} == {span.barred for span in spans(plain, MONDAY)}


def test_the_calendar_that_is_shipped_knows_mother_rows_alone() -> None:
    """What is published on flowers ends too far apart for entries of their own."""
    entries = {task.id: [other.plots.mother_rows for other in task.instead] for task in SHIPPED.tasks}

    assert {"runners": [("yes",)]} == {task: plots for task, plots in entries.items() if plots}
    assert {"runners"} == set(SHIPPED.by_id) - set(SHIPPED.for_plot(PlotTraits(mother_rows="yes")).by_id)


def _covers(span: Span, plot: PlotDays) -> bool:
    """Say what the database's join would say: the plot is in the range, not barred, and the day is one of its own."""
    columns = {
        DayColumn.TEXT_DAY: {plot.text_day},
        DayColumn.PICKING_TEXT_DAY: {plot.picking_text_day},
        DayColumn.PROMPT_DAYS: plot.prompt_days,
        DayColumn.ANY_DAY: range(7),
    }
    in_range = span.planted_from <= plot.planted_on <= span.planted_to
    meant = plot.traits.bits & span.barred == 0
    return (
        in_range
        and meant
        and span.weekday in columns[span.rides]
        and (plot.picking_early or not span.early_only)
    )


@st.composite
def plots(draw: st.DrawFn) -> PlotDays:
    """Draw a plot of any kind."""
    pick_days = draw(st.frozensets(st.integers(0, 6), min_size=1, max_size=3))
    drawn = plot(draw(st.sampled_from(KINDS)), draw(st.integers(0, 6)), tuple(pick_days))
    return replace(drawn, picking_early=draw(st.booleans()))


@given(one=plots(), age=st.integers(-70, 1110))
def test_spans_say_what_the_definition_says(calendar: Calendar, one: PlotDays, age: int) -> None:
    """Whatever a plot is like: it lies in the spans of what is due on it, and in each of them once."""
    day = MONDAY + timedelta(days=age)
    defined = {
        (task.id, ordinal)
        for task in calendar.tasks
        if (ordinal := is_due(calendar, task, one, day)) is not None
    }
    covered = Counter((span.task_id, span.ordinal) for span in spans(calendar, day) if _covers(span, one))

    assert defined == set(covered)
    assert {(due.task.id, due.ordinal) for due in season(calendar, one, day, day)} == defined
    assert {1} >= set(covered.values())


@pytest.mark.parametrize(
    ("traits", "moves"),
    [
        pytest.param(PlotTraits(plant_type="day_neutral", stock="plug"), 80, id="early"),
        pytest.param(UNTOLD, 130, id="as shipped"),
        pytest.param(PlotTraits(plant_type="short_day"), 220, id="late"),
    ],
)
def test_spans_move_when_the_plot_s_own_picking_is_near(
    calendar: Calendar, traits: PlotTraits, moves: int
) -> None:
    """Day by day through the weeks in which weekly jobs move to a picking day, and past it."""
    one = plot(traits)
    days = [MONDAY + timedelta(days=age) for age in range(moves - 7, moves + 21)]
    covered = [
        (day, span.task_id, span.ordinal)
        for day in days
        for span in spans(calendar, day)
        if _covers(span, one)
    ]

    assert sorted(covered) == sorted(
        (due.due_on, due.task.id, due.ordinal) for due in season(calendar, one, days[0], days[-1])
    )


@pytest.mark.parametrize(
    ("entries", "sentence"),
    [
        pytest.param(
            {"runners": 'for = { mother_rows = ["yes"] }'},
            "instead either drops the job or gives first, every or last anew",
            id="says nothing",
        ),
        pytest.param(
            {"runners": 'for = { mother_rows = ["yes"] }\ndrop = true\nlast = 90'},
            "instead either drops the job or gives first, every or last anew",
            id="says both",
        ),
        pytest.param(
            {"runners": 'for = { mulch = ["straw"] }\nevery = 3'},
            "instead: on the weekly text day occurrences need at least 7 days between them",
            id="too often",
        ),
        pytest.param(
            {"flowers_off": 'for = { plant_type = ["short_day"] }\nlast = 200'},
            "for plots with .*short_day.*flowers_off must be over before flowers_stay begins",
            id="two jobs that disagree",
        ),
        pytest.param(
            {"picking": 'for = { mother_rows = ["yes"] }\ndrop = true'},
            "for plots with .*exactly one task must ride on picking_days",
            id="never picked",
        ),
    ],
)
def test_entries_that_make_no_sense_are_refused(
    tmp_path: Path, entries: dict[str, str], sentence: str
) -> None:
    """The file, the entry and what is wrong are named when the calendar is read."""
    with pytest.raises(CalendarError, match=rf"own\.toml.*{sentence}"):
        load_calendar(written(tmp_path / "own.toml", entries))


def test_each_kind_s_calendar_is_made_once(calendar: Calendar) -> None:
    """Plots that the calendar does not tell apart share it, whichever way they are named."""
    one = PlotTraits(plant_type="short_day", mother_rows="yes")

    assert calendar.for_plot(one) is calendar.for_bits(one.bits)
    assert calendar.for_bits(one.bits) is not calendar.for_bits(UNTOLD.bits)
    assert SHIPPED.for_plot(PlotTraits(stock="plug")) is SHIPPED.for_plot(UNTOLD)
