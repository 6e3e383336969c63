"""An officer corrects a plot: what would follow is shown first, then it is done, and it can be taken back.

What was texted stays as it was. A new planting date, or another kind of plot with other jobs, calls off the jobs that
wait for their text, and the texts that wait for their hour and speak of nothing else, and plans the plot anew from
today; what was texted lately is kept from repeating by each task's least gap. All else changes only what later texts
say.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol

from service.agronomy.due import season
from service.core.errors import Refused
from service.core.model import Plot
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.planting import (
    changed_to,
    correct_plot,
    jobs_move,
    longest_useful_of,
    plot_days,
    still_of_use,
)
from service.use_cases.plot_edits import PlotEdit
from service.use_cases.tools import Tools

_AHEAD: Final = timedelta(days=28)
_TOUCHED_MEANWHILE: Final = "Somebody has changed this plot meanwhile. Look at it again and start anew."


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A task that is due on a day."""

    due_on: date
    task: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Impact:
    """What would follow from an edit.

    Attributes:
        changed: the names of what would change.
        moves: whether jobs fall on other days then, or fall away.
        called_off: jobs that wait for their text, or whose text has not left yet, and would not be texted.
        planned: jobs of today and the last weeks that would be texted next.
        not_again: jobs among them whose like was texted so lately that they are not texted again.
        stays: how many jobs were texted and stay as they are.
        before: what would have fallen due in the next four weeks.
        after: what falls due in them instead.
    """

    changed: tuple[str, ...]
    moves: bool = False
    called_off: tuple[Job, ...] = ()
    planned: tuple[Job, ...] = ()
    not_again: tuple[Job, ...] = ()
    stays: int = 0
    before: tuple[Job, ...] = ()
    after: tuple[Job, ...] = ()


class EditingRows(Protocol):
    """What is asked of a plot's past before it is edited."""

    def waiting(self, plot_id: int) -> tuple[tuple[date, str], ...]:
        """Return day and task of the reminders that wait for their text."""
        ...

    def texted(self, plot_id: int) -> int:
        """Return how many reminders were texted."""
        ...

    def last_texted(self, plot_id: int) -> Mapping[str, date]:
        """Return for each task the day on which it was texted last."""
        ...

    def last_correction(self, plot_id: int) -> tuple[Mapping[str, Any], Mapping[str, Any]] | None:
        """Return what the last correction changed by which jobs moved: before and after."""
        ...


class EditingWork(Work, Protocol):
    """A unit of work, as far as editing needs it."""

    @property
    def editing(self) -> EditingRows:
        """A plot's past."""
        ...


def fingerprint(plot: Plot) -> str:
    """Return a word that changes with whatever can be edited: a form brings it back."""
    return ".".join(str(value) for value in (plot.revision, *asdict(PlotEdit.of(plot)).values()))


def impact(work: EditingWork, tools: Tools, plot: Plot, edit: PlotEdit, on: date) -> Impact:
    """Return what would follow from an edit on the local day `on`; nothing is changed.

    Raises:
        Refused: the plot is closed, or a value cannot be.
    """
    edit.check(plot, on)
    changes = edit.changes(plot)
    moved, calendar = changed_to(plot, changes), tools.calendar_of(plot.calendar_id)
    if not jobs_move(calendar, plot, moved):
        return Impact(changed=tuple(changes))
    lately = work.editing.last_texted(plot.id)
    first = on - timedelta(days=longest_useful_of(calendar))
    dues = still_of_use(calendar, moved, first, on) if plot.live else ()
    again = {
        due
        for due in dues
        if due.task.id in lately and on < lately[due.task.id] + timedelta(days=due.task.min_gap)
    }
    return Impact(
        changed=tuple(changes),
        moves=True,
        called_off=tuple(Job(due_on=day, task=task) for day, task in work.editing.waiting(plot.id)),
        planned=tuple(Job(due_on=due.due_on, task=due.task.id) for due in dues if due not in again),
        not_again=tuple(Job(due_on=due.due_on, task=due.task.id) for due in dues if due in again),
        stays=work.editing.texted(plot.id),
        before=_coming(tools, plot, on),
        after=_coming(tools, moved, on),
    )


def edit_plot(
    work: EditingWork,
    tools: Tools,
    officer: Officer,
    plot_id: int,
    edit: PlotEdit,
    *,
    seen: str,
    on: date,
    now: datetime,
    real_now: datetime,
) -> None:
    """Correct a plot, keep what it was, and note who did it; a plot that is so already stays as it is.

    Args:
        work: a unit of work.
        tools: words, calendar, ids.
        officer: who; that the plot is theirs to edit is seen to where it is looked up.
        plot_id: which.
        edit: what it shall be.
        seen: the fingerprint of the plot the officer had before them.
        on: the plot's local day, in service time.
        now: service time.
        real_now: real time, for the record.

    Raises:
        Refused: it was changed meanwhile, is closed, or a value cannot be.
    """
    plot = work.plots.get(plot_id)
    if plot is not None and PlotEdit.of(plot) == edit:
        # Sent a second time, or somebody else has corrected it in the same way.
        return
    if plot is None or fingerprint(plot) != seen:
        raise Refused(_TOUCHED_MEANWHILE)
    edit.check(plot, on)
    changes = edit.changes(plot)
    correct_plot(work, tools, plot, changes, who=f"officer:{officer.id}", on=on, now=now)
    detail = {name: [getattr(plot, name), value] for name, value in changes.items()}
    note(work, officer, "plot.edited", f"plot:{plot_id}", detail, at=real_now)
    work.commit()


def before_correction(work: EditingWork, plot: Plot) -> PlotEdit | None:
    """Return the plot as it was before jobs moved last by a correction; None if that is not so any more."""
    found = work.editing.last_correction(plot.id)
    if found is None:
        return None
    now = PlotEdit.of(plot)
    before, after = (_as_edit(now, kept) for kept in found)
    # How well the planting date is known may have been put right since.
    return before if replace(after, precision=now.precision) == now else None


def _as_edit(now: PlotEdit, kept: Mapping[str, Any]) -> PlotEdit:
    """Return the plot with what was kept of it, as the database gives it back."""
    values = {name: value for name, value in kept.items() if name in asdict(now)}
    if "planted_on" in values:
        values["planted_on"] = date.fromisoformat(str(values["planted_on"]))
    return replace(now, **values)


def _coming(tools: Tools, plot: Plot, on: date) -> tuple[Job, ...]:
    if not plot.live:
        return ()
    calendar = tools.calendar_of(plot.calendar_id)
    dues = season(calendar, plot_days(plot), on + timedelta(days=1), on + _AHEAD)
    return tuple(Job(due_on=due.due_on, task=due.task.id) for due in dues)
