"""An officer corrects a plot: what would follow is shown first, then it is done, and it can be taken back.

What was texted stays as it was. A new planting date calls off the jobs that wait for their text, and the texts that
wait for their hour and speak of nothing else, and plans the plot anew from today; what was texted lately is kept from
repeating by each task's least gap. Plants and mulch change only what later texts say.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol

from flows.moves.joining import MOST_PLANTS
from service.agronomy.due import season
from service.core.errors import Refused
from service.core.model import Plot
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.planting import (
    FURTHEST_AHEAD,
    OLDEST,
    correct_planting_date,
    longest_useful_of,
    plot_days,
    still_of_use,
)
from service.use_cases.tools import Tools

MULCH_KINDS: Final = ("straw", "plastic", "none")
PRECISIONS: Final = ("exact", "about", "month")
_AHEAD: Final = timedelta(days=28)
_TOUCHED_MEANWHILE: Final = "Somebody has changed this plot meanwhile. Look at it again and start anew."


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotEdit:
    """What a plot shall be; all that can be corrected of it."""

    planted_on: date
    precision: str
    plants: int
    mulch_kind: str | None

    @classmethod
    def of(cls, plot: Plot) -> "PlotEdit":
        """Return what the plot is now."""
        return cls(
            planted_on=plot.planted_on,
            precision=plot.precision,
            plants=plot.plants,
            mulch_kind=plot.mulch_kind,
        )


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
        called_off: jobs that wait for their text, or whose text has not left yet, and would not be texted.
        planned: jobs of today and the last weeks that would be texted next.
        not_again: jobs among them whose like was texted so lately that they are not texted again.
        stays: how many jobs were texted and stay as they are.
        before: what would have fallen due in the next four weeks.
        after: what falls due in them instead.
    """

    changed: tuple[str, ...]
    called_off: tuple[Job, ...] = ()
    planned: tuple[Job, ...] = ()
    not_again: tuple[Job, ...] = ()
    stays: int = 0
    before: tuple[Job, ...] = ()
    after: tuple[Job, ...] = ()

    @property
    def moves(self) -> bool:
        """Whether the planting date changes, and with it the jobs."""
        return "planted_on" in self.changed


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
        """Return what the last correction of the planting date changed: before and after."""
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
    _check(plot, edit, on)
    now, then = asdict(PlotEdit.of(plot)), asdict(edit)
    changed = tuple(name for name in now if now[name] != then[name])
    if "planted_on" not in changed:
        return Impact(changed=changed)
    moved = replace(plot, planted_on=edit.planted_on)
    lately = work.editing.last_texted(plot.id)
    first = on - timedelta(days=longest_useful_of(tools.calendar))
    dues = still_of_use(tools.calendar, moved, first, on) if plot.live else ()
    again = {
        due
        for due in dues
        if due.task.id in lately and on < lately[due.task.id] + timedelta(days=due.task.min_gap)
    }
    return Impact(
        changed=changed,
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
    _check(plot, edit, on)
    before, after = PlotEdit.of(plot), edit
    who = f"officer:{officer.id}"
    if before.planted_on != after.planted_on:
        correct_planting_date(
            work, tools, plot_id, after.planted_on, precision=after.precision, who=who, on=on, now=now
        )
    rest = {
        name: value
        for name, value in asdict(after).items()
        if name != "planted_on" and value != getattr(before, name)
    }
    if rest:
        was = {name: getattr(before, name) for name in rest}
        work.plots.keep_change(id=tools.ids.row(), plot_id=plot_id, at=now, who=who, before=was, after=rest)
        work.plots.set(plot_id, **rest)
    detail = {
        name: [value, getattr(after, name)]
        for name, value in asdict(before).items()
        if value != getattr(after, name)
    }
    note(work, officer, "plot.edited", f"plot:{plot_id}", detail, at=real_now)
    work.commit()


def before_correction(work: EditingWork, plot: Plot) -> PlotEdit | None:
    """Return the plot as it was before its planting date was corrected last; None if it never was."""
    found = work.editing.last_correction(plot.id)
    if found is None or found[1].get("planted_on") != plot.planted_on.isoformat():
        return None
    before = found[0]
    return replace(
        PlotEdit.of(plot),
        planted_on=date.fromisoformat(str(before["planted_on"])),
        precision=str(before["precision"]),
    )


def _check(plot: Plot, edit: PlotEdit, on: date) -> None:
    wrong = (
        (plot.closed_on is not None, "This plot is closed: nothing of it can be changed."),
        (not 1 <= edit.plants <= MOST_PLANTS, f"Plants are counted from 1 to {MOST_PLANTS:,}."),
        (
            edit.planted_on != plot.planted_on and not on - OLDEST <= edit.planted_on <= on + FURTHEST_AHEAD,
            "A planting date lies within the last three years or the next six months: give another day.",
        ),
        (edit.mulch_kind not in {None, *MULCH_KINDS}, "Choose one of the kinds of mulch."),
        (edit.precision not in PRECISIONS, "Choose how well the planting date is known."),
    )
    for is_wrong, sentence in wrong:
        if is_wrong:
            raise Refused(sentence)


def _coming(tools: Tools, plot: Plot, on: date) -> tuple[Job, ...]:
    if not plot.live:
        return ()
    dues = season(tools.calendar, plot_days(plot), on + timedelta(days=1), on + _AHEAD)
    return tuple(Job(due_on=due.due_on, task=due.task.id) for due in dues)
