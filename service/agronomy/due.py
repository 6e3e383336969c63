"""When a task is due, told in three forms that must agree.

`is_due` is the definition: one task, one plot, one day. `spans` turns it round: for one day it gives the
ranges of planting dates whose plots are due, so that a day is planned by a few hundred range look-ups instead
of by walking all plots. `season` walks forward through the days of one plot, for people who want to see them.

An occurrence at age n is due on the first day from `planted_on + n` on that falls on the plot's text day.
Shortly before picking begins the weekly jobs move to a picking day. The occurrence falls away if the plot is
by then older than the task's last day, and an occurrence is due on one day only.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from service.agronomy.calendar import WEEK, Calendar, Rides, Task
from service.agronomy.traits import UNTOLD, PlotTraits, barred, common


class DayColumn(StrEnum):
    """Which of a plot's weekdays must be that of the day, for an occurrence to be due."""

    TEXT_DAY = "text_day"
    PICKING_TEXT_DAY = "picking_text_day"
    PROMPT_DAYS = "prompt_days"
    ANY_DAY = "any_day"


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotDays:
    """What of a plot decides when its tasks are due. Weekdays count from Monday, 0.

    Attributes:
        planted_on: day 0.
        text_day: the weekday of the weekly jobs.
        picking_text_day: the weekday they move to once picking is near, see `picking_text_day`.
        prompt_days: the weekdays on which picking is asked after.
        picking_early: whether a weight came in before picking was expected.
        traits: what the plot is like, as far as it has jobs of its own.
    """

    planted_on: date
    text_day: int
    picking_text_day: int
    prompt_days: frozenset[int]
    picking_early: bool = False
    traits: PlotTraits = UNTOLD


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """Planting dates, both ends included, whose plots have one occurrence of a task due on the day asked for.

    Attributes:
        task_id: which task.
        ordinal: which occurrence; picking has only 0, since the day tells its occurrences apart.
        planted_from: the earliest planting date.
        planted_to: the latest planting date.
        rides: which column of the plot must hold `weekday`; with ANY_DAY none.
        weekday: the weekday of the day asked for, Monday being 0.
        early_only: whether only plots with a weight before picking was expected are meant.
        barred: bits of `PlotTraits.bits`; plots that have one of them are not meant.
    """

    task_id: str
    ordinal: int
    planted_from: date
    planted_to: date
    rides: DayColumn
    weekday: int
    early_only: bool = False
    barred: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Due:
    """One occurrence of a task on its day."""

    task: Task
    ordinal: int
    due_on: date


def picking_text_day(text_day: int, pick_days: Collection[int]) -> int:
    """Return the weekday of the weekly jobs once picking is near.

    It is the text day if fruit is picked then, else the next picking day after it. Without any picking day
    the text day stays.
    """
    if not pick_days:
        return text_day
    return min(pick_days, key=lambda weekday: (weekday - text_day) % WEEK)


def useful_until(task: Task, planted_on: date, due_on: date) -> date:
    """Return the last day on which an occurrence due on `due_on` may be texted.

    The due day is the first of the task's useful days, and no task is texted after its last day.
    """
    return min(due_on + timedelta(days=task.useful - 1), planted_on + timedelta(days=task.last))


def is_due(calendar: Calendar, task: Task, plot: PlotDays, day: date) -> int | None:
    """Return which occurrence of `task` is due for `plot` on `day`, counted from 0, or None."""
    calendar = calendar.for_plot(plot.traits)
    own = calendar.by_id.get(task.id)
    age = (day - plot.planted_on).days
    if own is None or age > own.last:
        return None
    if own.rides is Rides.PICKING_DAYS:
        begun = age >= calendar.picking_from or (plot.picking_early and age >= 0)
        return 0 if begun and day.weekday() in plot.prompt_days else None
    for ordinal, nominal in enumerate(own.nominal_days):
        if _falls_on(calendar, own, plot, nominal) == day:
            return ordinal
    return None


def spans(calendar: Calendar, day: date) -> tuple[Span, ...]:
    """Return all ranges of planting dates whose plots have something due on `day`."""
    return tuple(span for task in calendar.tasks for span in _spans_of(calendar, task, day))


def season(calendar: Calendar, plot: PlotDays, first: date, last: date) -> tuple[Due, ...]:
    """Return what is due for `plot` from `first` to `last`, both included, by day and then by rank."""
    calendar = calendar.for_plot(plot.traits)
    found = (due for task in calendar.tasks for due in _season_of(calendar, task, plot, first, last))
    return tuple(sorted(found, key=lambda due: (due.due_on, due.task.rank)))


def _column(task: Task, nominal: int, moves_at: int) -> DayColumn:
    """Return the column of an occurrence; from the age `moves_at` on weekly jobs are on a picking day."""
    if task.rides is Rides.EXACT_DAY:
        return DayColumn.ANY_DAY
    moved = nominal >= moves_at
    return DayColumn.PICKING_TEXT_DAY if moved else DayColumn.TEXT_DAY


def _falls_on(calendar: Calendar, task: Task, plot: PlotDays, nominal: int) -> date:
    earliest = plot.planted_on + timedelta(days=nominal)
    match _column(task, nominal, calendar.picking_from - calendar.riding_moves):
        case DayColumn.TEXT_DAY:
            weekday = plot.text_day
        case DayColumn.PICKING_TEXT_DAY:
            weekday = plot.picking_text_day
        case _:
            weekday = earliest.weekday()
    return earliest + timedelta(days=(weekday - earliest.weekday()) % WEEK)


def _spans_of(calendar: Calendar, task: Task, day: date) -> Iterator[Span]:
    """Yield the spans of a job: for each set of plots that has days of its own for it, or for picking."""
    for allowed, own in task.variants:
        for others, picking in calendar.picking.variants:
            both = common(allowed, others)
            if both is not None:
                moves_at = picking.first[0] - calendar.riding_moves
                yield from _spans_of_set(own, day, moves_at, barred(both))


def _spans_of_set(task: Task, day: date, moves_at: int, barred_bits: int) -> Iterator[Span]:
    def span(ordinal: int, ages: tuple[int, int], rides: DayColumn, *, early_only: bool = False) -> Span:
        youngest, oldest = ages
        return Span(
            task_id=task.id,
            ordinal=ordinal,
            planted_from=day - timedelta(days=oldest),
            planted_to=day - timedelta(days=youngest),
            rides=rides,
            weekday=day.weekday(),
            early_only=early_only,
            barred=barred_bits,
        )

    if task.rides is Rides.PICKING_DAYS:
        yield span(0, (task.first[0], task.last), DayColumn.PROMPT_DAYS)
        yield span(0, (0, task.first[0] - 1), DayColumn.PROMPT_DAYS, early_only=True)
        return
    for ordinal, nominal in enumerate(task.nominal_days):
        column = _column(task, nominal, moves_at)
        # Whatever the weekday, a weekly ride comes within six days; the exact day does not wait at all.
        wait = 0 if column is DayColumn.ANY_DAY else WEEK - 1
        yield span(ordinal, (nominal, min(nominal + wait, task.last)), column)


def _season_of(calendar: Calendar, task: Task, plot: PlotDays, first: date, last: date) -> Iterator[Due]:
    end = min(last, plot.planted_on + timedelta(days=task.last))
    if task.rides is Rides.PICKING_DAYS:
        begin = 0 if plot.picking_early else calendar.picking_from
        day = max(first, plot.planted_on + timedelta(days=begin))
        while day <= end:
            if day.weekday() in plot.prompt_days:
                yield Due(task=task, ordinal=0, due_on=day)
            day += timedelta(days=1)
        return
    for ordinal, nominal in enumerate(task.nominal_days):
        due_on = _falls_on(calendar, task, plot, nominal)
        if first <= due_on <= end:
            yield Due(task=task, ordinal=ordinal, due_on=due_on)
