"""The season strip: bands out of the calendar, plots standing on them, figures that can be read."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from service.agronomy.calendar import END, Calendar, load_calendar
from service.db.queries.console_values import Cohort
from service.web.farmers.season import along, down, lay_out, new_years, stand

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def calendar() -> Calendar:
    """The calendar that is shipped."""
    return load_calendar()


def test_bands_come_from_the_calendar(calendar: Calendar) -> None:
    """The bands are the calendar's own days, without a gap from planting to the end."""
    bands = lay_out(calendar).bands

    assert [("root", 0), ("off", 21), ("stay", 120), ("pick", 144), ("renew", 910)] == [
        (band.key, band.first) for band in bands
    ]
    assert all(earlier.end == later.first for earlier, later in pairwise(bands))
    assert END == bands[-1].end


def test_calendar_without_a_task_has_no_band_for_it(calendar: Calendar) -> None:
    """A calendar of one's own may lack tasks; the strip then has fewer bands and is as whole."""
    kept = tuple(task for task in calendar.tasks if task.id not in ("flowers_off", "flowers_stay", "renew"))
    bands = lay_out(replace(calendar, tasks=kept)).bands

    assert [("root", 0, 144), ("pick", 144, END)] == [(band.key, band.first, band.end) for band in bands]


def test_all_plots_are_counted_once(calendar: Calendar) -> None:
    """Plots ahead of planting and past the end are told apart; all others stand in one band and one week."""
    ages = (-1, 0, 6, 7, 20, 21, 119, 120, 143, 144, 909, 910, 1094, 1095, 4000)
    cohorts = [Cohort(planted_on=TODAY - timedelta(days=age), plots=2) for age in ages]
    field = stand(lay_out(calendar), cohorts, TODAY)

    assert {"root": 8, "off": 4, "stay": 4, "pick": 4, "renew": 4} == field.by_band
    assert (2, 4, 30) == (field.ahead, field.past, field.plots)
    assert 24 == sum(bar.amount for bar in field.bars)
    assert [(0, 4), (7, 2), (14, 2), (21, 2)] == [(bar.day, bar.amount) for bar in field.bars[:4]]
    assert 1.0 == max(bar.height for bar in field.bars)


def test_empty_programme_has_no_bars(calendar: Calendar) -> None:
    """Nobody on the strip is no fault."""
    field = stand(lay_out(calendar), [], TODAY)

    assert ((), 0) == (field.bars, field.plots)


def test_figures_stand_apart(calendar: Calendar) -> None:
    """Upright, no number stands closer than its own height to the one above; lying, near ones lean apart."""
    figures = lay_out(calendar).figures

    assert [0, 120, 144, 365, 730, 910, 1095] == [figure.day for figure in figures]
    assert all(lower.y - upper.y >= 13 for upper, lower in pairwise(figures))
    assert ["start", "end", "start", "middle", "middle", "middle", "end"] == [one.anchor for one in figures]


@pytest.mark.parametrize(
    ("day", "percent", "pixels"),
    [(0, 0, 14), (1095, 100, 441.1), (-40, 0, 14), (5000, 100, 441.1), (219, 20, 99.4)],
)
def test_places_stay_on_the_strip(day: int, percent: float, pixels: float) -> None:
    """A day before the beginning or after the end stands at the strip's end."""
    assert (percent, pixels) == (along(day), down(day))


def test_years_begin_on_the_strip() -> None:
    """Each first of January within the three years is marked at its age."""
    assert ((249, 2027), (614, 2028), (980, 2029)) == new_years(date(2026, 4, 27))


def test_single_plot_is_no_crowd(calendar: Calendar) -> None:
    """Where a week has few plots at most, its stroke does not fill the height."""
    field = stand(lay_out(calendar), [Cohort(planted_on=TODAY, plots=1)], TODAY)

    assert [0.25] == [bar.height for bar in field.bars]
