"""A plot's jobs on the page: what fell due and what became of it, and what is still to come."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby
from typing import Final

from service.agronomy.calendar import PICKING, Calendar
from service.agronomy.due import PlotDays, season
from service.agronomy.hold import SPEAKS_OF_PICKING
from service.agronomy.traits import traits_of
from service.core.collecting import Collection
from service.core.model import ReminderState
from service.db.queries.console_values import PastReminder, PlotFacts
from service.use_cases.collecting.shown import is_picked_on
from service.web.house import Renders
from service.web.words import MESSAGE_STATES, REMINDER_STATES, worded

COMING: Final = timedelta(days=28)
_WEEKDAYS: Final = range(7)
_ANSWERS: Final = {"weight": "a weight came soon after"}


@dataclass(frozen=True, kw_only=True, slots=True)
class PastJobs:
    """The labels of jobs that fell due on one day and came to the same end, told in words."""

    due_on: date
    labels: tuple[str, ...]
    outcome: str
    good: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ComingDay:
    """A day ahead and the labels of its jobs."""

    day: date
    labels: tuple[str, ...]


def label(task: str, catalogue: Renders) -> str:
    """Return the short English name of a task; a calendar's own task without one is named by its id."""
    try:
        return catalogue.render(f"task.{task}.label", "en", {})
    except LookupError:
        return task.replace("_", " ").capitalize()


def past_jobs(reminders: Iterable[PastReminder], catalogue: Renders) -> tuple[PastJobs, ...]:
    """Tell what became of reminders: for each day, in the order they come, those of one end together."""
    ends: dict[tuple[date, str, bool], list[str]] = {}
    for reminder in reminders:
        good = reminder.state == ReminderState.ANSWERED
        end = ends.setdefault((reminder.due_on, _outcome(reminder), good), [])
        end.append(label(reminder.task, catalogue))
    return tuple(
        PastJobs(due_on=due_on, labels=tuple(labels), outcome=outcome, good=good)
        for (due_on, outcome, good), labels in sorted(ends.items(), key=lambda end: end[0][0], reverse=True)
    )


def _outcome(reminder: PastReminder) -> str:
    if reminder.state == ReminderState.ANSWERED and reminder.answer:
        return worded(reminder.answer, _ANSWERS)
    said = worded(reminder.state, REMINDER_STATES)
    if reminder.state == ReminderState.TEXTED and reminder.sent:
        said = f"{said}, {worded(reminder.sent, MESSAGE_STATES)}"
    return f"{said}: {reminder.why}" if reminder.why else said


def coming_days(
    calendar: Calendar,
    plot: PlotFacts,
    today: date,
    catalogue: Renders,
    *,
    free_from: date | None = None,
    collection: Collection | None = None,
) -> tuple[ComingDay, ...]:
    """Return what falls due on a plot in the next four weeks, from tomorrow on; nothing on one that rests.

    Before `free_from` a spray holds picking back, so no job of these days asks for it. Where the plot follows a
    `collection`, picking stands on its days, with those called off or moved.
    """
    if not plot.live:
        return ()
    days = plot_days(plot)
    if collection is not None:
        days = replace(days, prompt_days=frozenset(_WEEKDAYS))
    falling = [
        due
        for due in season(calendar, days, today + timedelta(days=1), today + COMING)
        if collection is None
        or due.task.id != PICKING
        or is_picked_on(due.due_on, plot.pick_days, collection)
    ]
    dues = [
        due
        for due in falling
        if free_from is None or due.due_on >= free_from or due.task.id not in SPEAKS_OF_PICKING
    ]
    return tuple(
        ComingDay(day=day, labels=tuple(label(due.task.id, catalogue) for due in of_day))
        for day, of_day in groupby(dues, key=lambda due: due.due_on)
    )


def plot_days(plot: PlotFacts) -> PlotDays:
    """Return what of a plot decides when its tasks are due."""
    return PlotDays(
        planted_on=plot.planted_on,
        text_day=plot.text_day,
        picking_text_day=plot.picking_text_day,
        prompt_days=frozenset(day for day in _WEEKDAYS if plot.prompt_days >> day & 1),
        picking_early=plot.picking_early,
        traits=traits_of(plot.traits),
    )
