"""When a task is due: examples by hand, and the three forms held against each other."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.agronomy.calendar import load_calendar
from service.agronomy.due import (
    DayColumn,
    PlotDays,
    Span,
    is_due,
    picking_text_day,
    season,
    spans,
    useful_until,
)
from tests.depth import times

CALENDAR = load_calendar()
MONDAY = date(2026, 3, 2)


def _plot(
    planted_on: date = MONDAY,
    text_day: int = 2,
    pick_days: tuple[int, ...] = (1, 4),
    *,
    picking_early: bool = False,
) -> PlotDays:
    return PlotDays(
        planted_on=planted_on,
        text_day=text_day,
        picking_text_day=picking_text_day(text_day, pick_days),
        prompt_days=frozenset(pick_days),
        picking_early=picking_early,
    )


def _day(age: int) -> date:
    return MONDAY + timedelta(days=age)


def _covers(span: Span, plot: PlotDays) -> bool:
    """Say what the database's join says: the plot is in the range and the day is one of its own."""
    columns = {
        DayColumn.TEXT_DAY: {plot.text_day},
        DayColumn.PICKING_TEXT_DAY: {plot.picking_text_day},
        DayColumn.PROMPT_DAYS: plot.prompt_days,
        DayColumn.ANY_DAY: range(7),
    }
    in_range = span.planted_from <= plot.planted_on <= span.planted_to
    return in_range and span.weekday in columns[span.rides] and (plot.picking_early or not span.early_only)


@pytest.mark.parametrize(
    ("text_day", "pick_days", "expected"),
    [
        pytest.param(1, {1, 4}, 1, id="already a picking day"),
        pytest.param(2, {1, 4}, 4, id="the next one"),
        pytest.param(5, {1, 4}, 1, id="over the week's end"),
        pytest.param(5, set(), 5, id="no picking days"),
    ],
)
def test_picking_text_day(text_day: int, pick_days: set[int], expected: int) -> None:
    """Weekly jobs move to the text day itself or to the first picking day after it."""
    assert expected == picking_text_day(text_day, pick_days)


# Planted on a Monday, text day Wednesday, picking Tuesdays and Fridays, so weekly jobs move to Fridays.
ON_HAND = [
    pytest.param("beds", -19, 0, id="before planting, the Wednesday after day -21"),
    pytest.param("beds", -21, None, id="day -21 itself is a Monday"),
    pytest.param("water_young", 2, 0, id="first Wednesday"),
    pytest.param("water_young", 9, 1, id="second Wednesday"),
    pytest.param("flowers_off", 107, 12, id="last Wednesday of flower removal"),
    pytest.param("flowers_off", 114, None, id="the fourteenth would fall in the last week before day 120"),
    pytest.param("flowers_stay", 120, 0, id="the very day, a Tuesday"),
    pytest.param("flowers_stay", 123, 1, id="the repeat"),
    pytest.param("flowers_stay", 121, None, id="and no other day"),
    pytest.param("scout", 128, 15, id="day 126 still on a Wednesday"),
    pytest.param("scout", 135, None, id="day 133 no more on a Wednesday"),
    pytest.param("scout", 137, 16, id="but on a Friday"),
    pytest.param("picking", 141, None, id="Tuesday before picking begins"),
    pytest.param("picking", 144, 0, id="first Friday of picking"),
    pytest.param("picking", 145, None, id="not on a Saturday"),
    pytest.param("picking", 1093, 0, id="the last Tuesday"),
    pytest.param("picking", 1095, None, id="day 1095 is a Thursday"),
    pytest.param("picking", 1096, None, id="the Friday after the end"),
    pytest.param("renew", 914, 0, id="renewal"),
]


@pytest.mark.parametrize(("task_id", "age", "expected"), ON_HAND)
def test_due_by_hand(task_id: str, age: int, expected: int | None) -> None:
    """Occurrences fall where a person with a wall calendar puts them."""
    assert expected == is_due(CALENDAR, CALENDAR.by_id[task_id], _plot(), _day(age))


@pytest.mark.parametrize(
    ("age", "early", "expected"),
    [
        pytest.param(88, False, None, id="no weight yet"),
        pytest.param(88, True, 0, id="a weight came early"),
        pytest.param(-3, True, None, id="never before planting"),
    ],
)
def test_picking_follows_an_early_weight(*, age: int, early: bool, expected: int | None) -> None:
    """A plot that bears before day 144 is asked on its picking days from the first weight on."""
    plot = _plot(picking_early=early)

    assert expected == is_due(CALENDAR, CALENDAR.by_id["picking"], plot, _day(age))


@pytest.mark.parametrize(
    ("task_id", "due_age", "last_age"),
    [
        pytest.param("scout", 30, 33, id="four days"),
        pytest.param("picking", 150, 150, id="the same day only"),
        pytest.param("flowers_off", 107, 112, id="whole"),
        pytest.param("flowers_off", 111, 113, id="cut by the task's last day"),
        pytest.param("compost", 1090, 1095, id="cut by the end"),
    ],
)
def test_useful_until(task_id: str, due_age: int, last_age: int) -> None:
    """The due day counts as the first useful one, and nothing is useful after the task's last day."""
    assert _day(last_age) == useful_until(CALENDAR.by_id[task_id], MONDAY, _day(due_age))


def test_season_runs_by_day_and_rank() -> None:
    """Forward, one reads what a person would write down for a week."""
    week = season(CALENDAR, _plot(), _day(28), _day(34))

    expected = [
        ("flowers_off", 1, 30),
        ("scout", 1, 30),
        ("water", 1, 30),
        ("runners", 0, 30),
        ("old_leaves", 0, 30),
        ("weeds", 1, 30),
        ("compost", 0, 30),
        ("mulch", 0, 30),
    ]
    assert expected == [(due.task.id, due.ordinal, (due.due_on - MONDAY).days) for due in week]


PLOTS = st.builds(
    _plot,
    planted_on=st.dates(date(2024, 1, 1), date(2026, 12, 31)),
    text_day=st.integers(0, 6),
    pick_days=st.lists(st.integers(0, 6), min_size=1, max_size=3, unique=True).map(tuple),
    picking_early=st.booleans(),
)


def _check_inverted(plot: PlotDays, ages: range) -> None:
    for day in (plot.planted_on + timedelta(days=age) for age in ages):
        named = [
            (task.id, ordinal)
            for task in CALENDAR.tasks
            if (ordinal := is_due(CALENDAR, task, plot, day)) is not None
        ]
        covered = [(span.task_id, span.ordinal) for span in spans(CALENDAR, day) if _covers(span, plot)]

        assert sorted(named) == sorted(covered)


@pytest.mark.parametrize("ages", [range(-3, 4), range(140, 150)], ids=str)
@pytest.mark.parametrize("text_day", range(7))
def test_inverted_form_agrees_where_an_early_plot_begins_and_is_no_longer_early(
    text_day: int, ages: range
) -> None:
    """A plot with an early weight is asked from planting on, once each picking day, as all are from day 144."""
    _check_inverted(_plot(text_day=text_day, pick_days=(0, 1, 3, 4), picking_early=True), ages)


def test_jobs_move_on_the_very_day_the_calendar_says() -> None:
    """Where they move eleven days before picking, on day 133, the scouting of day 133 has moved already."""
    calendar = replace(CALENDAR, riding_moves=11)
    scout = calendar.by_id["scout"]

    assert (None, 16) == tuple(is_due(calendar, scout, _plot(), _day(age)) for age in (135, 137))


def test_an_early_plot_is_asked_from_the_day_of_planting_on() -> None:
    """Walking forward begins where the definition does."""
    plot = _plot(pick_days=(0, 2), picking_early=True)

    asked = [due.due_on for due in season(CALENDAR, plot, _day(-7), _day(6)) if due.task.id == "picking"]
    assert [_day(0), _day(2)] == asked


@settings(max_examples=times(60, each=15), deadline=None)
@given(plot=PLOTS, age=st.integers(-80, 1110))
def test_inverted_form_agrees_with_the_definition(plot: PlotDays, age: int) -> None:
    """For any plot and day the ranges hold exactly what the definition calls due, once each."""
    _check_inverted(plot, range(age, age + 7))


@pytest.mark.parametrize("ages", [range(-1, 2), range(112, 146), range(1086, 1100)], ids=str)
@pytest.mark.parametrize("text_day", range(7))
def test_inverted_form_agrees_where_something_begins_or_ends(text_day: int, ages: range) -> None:
    """Around planting, the end of flower removal, the move to a picking day and the end of the stand."""
    _check_inverted(_plot(text_day=text_day, pick_days=(text_day, 3)), ages)


@settings(max_examples=times(30, each=15), deadline=None)
@given(plot=PLOTS, age=st.integers(-80, 1100), length=st.integers(1, 30))
def test_span_of_days_is_the_union_of_its_days(plot: PlotDays, age: int, length: int) -> None:
    """Walking forward over days gives what asking day by day gives, no more and no less."""
    days = [plot.planted_on + timedelta(days=age + step) for step in range(length)]
    by_day = [
        (day, task.id, ordinal)
        for day in days
        for task in CALENDAR.tasks
        if (ordinal := is_due(CALENDAR, task, plot, day)) is not None
    ]

    forward = [(due.due_on, due.task.id, due.ordinal) for due in season(CALENDAR, plot, days[0], days[-1])]
    assert sorted(by_day) == sorted(forward)


@settings(max_examples=times(60, each=15), deadline=None)
@given(plot=PLOTS)
def test_no_occurrence_is_missed_or_doubled(plot: PlotDays) -> None:
    """Over a whole stand each occurrence falls once, within six days of its age, while the task lasts."""
    whole = season(
        CALENDAR, plot, plot.planted_on - timedelta(days=90), plot.planted_on + timedelta(days=1200)
    )

    for task in CALENDAR.tasks:
        if task.id == "picking":
            continue
        found = [
            (due.ordinal, (due.due_on - plot.planted_on).days) for due in whole if due.task.id == task.id
        ]
        sure = [ordinal for ordinal, nominal in enumerate(task.nominal_days) if nominal + 6 <= task.last]
        assert sure == [ordinal for ordinal, _ in found][: len(sure)]
        assert len(found) == len(dict(found))
        assert all(0 <= age - task.nominal_days[ordinal] <= 6 and age <= task.last for ordinal, age in found)
