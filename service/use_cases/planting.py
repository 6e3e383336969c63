"""Plots: setting one up, planning it for today, and what follows when its planting date is corrected."""

from dataclasses import asdict, replace
from datetime import date, datetime, timedelta
from functools import cache
from typing import Final

from flows.plausible import YOUNGEST
from service.agronomy.calendar import Calendar
from service.agronomy.due import Due, PlotDays, picking_text_day, season, useful_until
from service.agronomy.traits import told, traits_of
from service.core.columns import PlotChange, Weekdays
from service.core.errors import Refused
from service.core.model import Plot, ReminderState
from service.core.ports import Work
from service.use_cases.tools import Tools

DEFAULT_PICK_GAP: Final = 3
WEEK: Final = 7
STEADY_WEEKS: Final = 4
WEIGHTS_A_STEADY_WEEK: Final = 2
OLDEST: Final = timedelta(days=1095)
FURTHEST_AHEAD: Final = timedelta(days=183)
_CORRECTED: Final = "the planting date was corrected"
_OTHER_KIND: Final = "what the plot is like was corrected"


@cache
def weekdays_of(mask: int) -> frozenset[int]:
    """Return the weekdays of a bit mask, Monday being 0; kept, as there are 128 of them."""
    return frozenset(day for day in range(WEEK) if mask & (1 << day))


def mask_of(weekdays: frozenset[int]) -> int:
    """Return weekdays as a bit mask."""
    return sum(1 << day for day in weekdays)


def default_days(joined_on: date, taken: frozenset[int] = frozenset()) -> Weekdays:
    """Return the weekday columns of a new plot: the text day is the weekday of joining, picking also 3 days later.

    Where texts go to the same phone on `taken` weekdays already, the first following day that is free is the text
    day, best one whose second picking day is free too.
    """
    days = [(joined_on.weekday() + step) % WEEK for step in range(WEEK)]
    text_day = min(days, key=lambda day: (day in taken, (day + DEFAULT_PICK_GAP) % WEEK in taken))
    return day_columns(text_day, frozenset({text_day, (text_day + DEFAULT_PICK_GAP) % WEEK}))


def day_columns(text_day: int, pick_days: frozenset[int]) -> Weekdays:
    """Return a plot's weekday columns for a text day and picking days."""
    mask = mask_of(pick_days)
    return {
        "text_day": text_day,
        "picking_text_day": picking_text_day(text_day, pick_days),
        "pick_days": mask,
        "prompt_days": mask,
    }


def plot_days(plot: Plot) -> PlotDays:
    """Return what of a plot decides when its tasks are due."""
    return PlotDays(
        planted_on=plot.planted_on,
        text_day=plot.text_day,
        picking_text_day=plot.picking_text_day,
        prompt_days=weekdays_of(plot.prompt_days),
        picking_early=plot.picking_early,
        traits=traits_of(plot.traits),
    )


def plan_plot(work: Work, tools: Tools, plot: Plot, on: date, *, first: date | None = None) -> None:
    """Plan one plot for today; with `first`, also what fell due since then and is still of use."""
    for due in still_of_use(tools.calendar_of(plot.calendar_id), plot, first or on, on):
        work.planning.insert_for_plot(due.due_on, plot.id, plot.revision, due.task.id, due.ordinal)


def still_of_use(calendar: Calendar, plot: Plot, first: date, on: date) -> tuple[Due, ...]:
    """Return what fell due on a plot from `first` to `on` and may still be texted on that day."""
    dues = season(calendar, plot_days(plot), first, on)
    return tuple(due for due in dues if useful_until(due.task, plot.planted_on, due.due_on) >= on)


def correct_planting_date(
    work: Work,
    tools: Tools,
    plot_id: int,
    planted_on: date,
    *,
    precision: str = "exact",
    who: str,
    on: date,
    now: datetime,
) -> None:
    """Set another planting date and plan the plot anew, see `correct_plot`; it does not commit.

    Raises:
        Refused: there is no such plot, or the day cannot be a planting date.
    """
    plot = work.plots.get(plot_id)
    if plot is None:
        raise Refused("There is no such plot.")
    if not on - OLDEST <= planted_on <= on + FURTHEST_AHEAD:
        raise Refused(
            "A planting date lies within the last three years or the next six months: give another day."
        )
    after: PlotChange = {"planted_on": planted_on, "precision": precision}
    correct_plot(work, tools, plot, after, who=who, on=on, now=now)


def correct_plot(
    work: Work, tools: Tools, plot: Plot, after: PlotChange, *, who: str, on: date, now: datetime
) -> None:
    """Set columns of a plot anew, and keep what they were; it does not commit.

    Where its jobs move by that, what was not texted yet is cancelled, with the texts that lie ready and speak of
    nothing else, and the plot is planned anew from today, with what is still of use from the last weeks. The new
    revision is in each reminder's key, so taking the correction back finds its own reminders again; what was texted
    already is kept from repeating by each task's least gap.
    """
    changed, calendar = changed_to(plot, after), tools.calendar_of(plot.calendar_id)
    # A planting date that is given again is planned anew too: whoever gives it may mean what the plot had before.
    moves = "planted_on" in after or jobs_move(calendar, plot, changed)
    values: PlotChange = {**after, "revision": plot.revision + 1} if moves else after
    before = {name: getattr(plot, name) for name in values}
    work.plots.keep_change(id=tools.ids.row(), plot_id=plot.id, at=now, who=who, before=before, after=values)
    if moves:
        why = _CORRECTED if plot.planted_on != changed.planted_on else _OTHER_KIND
        work.reminders.end_waiting(plot.id, ReminderState.CANCELLED, why)
        if work.reminders.call_off_unsent(plot.id, why, now):
            work.planning.merge_again(plot.zone, calendar.id, on)
    work.plots.set(plot.id, **values)
    changed = work.plots.the(plot.id)
    if moves and changed.live:
        plan_plot(work, tools, changed, on, first=on - timedelta(days=longest_useful_of(calendar)))


def changed_to(plot: Plot, after: PlotChange) -> Plot:
    """Return a plot with other columns, and the traits that follow from them."""
    changed = replace(plot, **after)
    return replace(changed, traits=told(asdict(changed)).bits)


def jobs_move(calendar: Calendar, before: Plot, after: Plot) -> bool:
    """Tell whether a plot that is changed so has jobs on other days, or other jobs."""
    same = calendar.for_bits(before.traits).tasks == calendar.for_bits(after.traits).tasks
    return before.planted_on != after.planted_on or not same


def longest_useful_of(calendar: Calendar) -> int:
    """Return for how many days the longest-lived task may be texted."""
    return max(task.useful for task in calendar.tasks)


def after_weight(work: Work, tools: Tools, plot_id: int, on: date) -> None:
    """Let a weight that counts set the plot's prompts: an early first pick starts them, steady ones thin them out."""
    plot = work.plots.the(plot_id)
    picking_from = tools.calendar_of(plot.calendar_id).for_bits(plot.traits).picking_from
    early = YOUNGEST <= (on - plot.planted_on).days < picking_from
    if early and not plot.picking_early:
        # The weekly jobs move to a picking day at once, or text day and picking days together would pass the cap.
        work.plots.set(plot_id, picking_early=True, text_day=plot.picking_text_day)
        plot = work.plots.the(plot_id)
    once_a_week = 1 << plot.picking_text_day
    # Before each collection is asked anew what will come.
    if plot.collection_id is None and plot.prompt_days != once_a_week and _is_steady(work, plot_id, on):
        work.plots.set(plot_id, prompt_days=once_a_week)


def after_void(work: Work, plot_id: int) -> None:
    """Let the prompts of a plot end that a weight began which was taken back; its text day stays where it is."""
    plot = work.plots.the(plot_id)
    if plot.picking_early and not work.harvests.picked_since(plot_id, plot.planted_on):
        work.plots.set(plot_id, picking_early=False)


def _is_steady(work: Work, plot_id: int, on: date) -> bool:
    """Return whether each of the last four weeks has two weights or more."""
    picked = work.harvests.picked_since(plot_id, on - timedelta(days=WEEK * STEADY_WEEKS - 1))
    weeks = [0] * STEADY_WEEKS
    for weight in picked:
        week = (on - weight.on).days // WEEK
        if 0 <= week < STEADY_WEEKS:
            weeks[week] += 1
    return all(count >= WEIGHTS_A_STEADY_WEEK for count in weeks)
