"""The wall calendar as figures: a row for each month, a column for each job that comes back often.

A job that falls due every week is drawn as one line down its column; any other is told by a figure in the row of
its month. Jobs that come rarely stand in words at the end of the row. The same rows can be weeks since planting,
for a sheet whose planting day is written by hand.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Final

from service.agronomy.calendar import END, WEEK, Calendar, Task
from service.agronomy.due import Due, PlotDays, season
from service.agronomy.tasks import Rides
from service.web.farmers.season import Season

# A job with so many occurrences has a column of its own; in three years that is about one a quarter.
_OFTEN: Final = 12
# No job of any calendar lies further before planting than a year.
_BEFORE: Final = timedelta(days=365)
_ROW_WEEKS: Final = 4
_ONE_DAY: Final = timedelta(days=1)
_WHOLE: Final = 100

Names = Callable[[str], str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Stroke:
    """A piece of a line within a row: where it begins and how long it is, in percent of the row's height.

    On the spine it has the `key` of its stage, and its `name` where a stage begins that has room for one.
    """

    y: float
    height: float
    key: str = ""
    name: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """What one job has in one row."""

    job: str
    strokes: tuple[Stroke, ...]
    figures: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """The days of a row, both included, and how they are named; `year` is empty where it is the row's above."""

    first: date
    last: date
    name: str
    year: str = ""

    def part(self, first: date, end: date) -> Stroke | None:
        """Return the piece of the row that lies from `first` up to `end`, None if none does."""
        begin, stop = max(first, self.first), min(end, self.last + _ONE_DAY)
        if begin >= stop:
            return None
        days = (self.last - self.first).days + 1
        y = round(_WHOLE * (begin - self.first).days / days, 1)
        height = round(_WHOLE * (stop - begin).days / days, 1)
        return Stroke(y=y, height=height)


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A month, or four weeks."""

    span: Span
    spine: tuple[Stroke, ...]
    cells: tuple[Cell, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Almanac:
    """The whole sheet; `before` are the jobs ahead of planting, each with its day."""

    jobs: tuple[str, ...]
    before: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(slots=True)
class _Column:
    """A job with the stretches in which it falls due every week, and the days on which it does otherwise."""

    task: Task
    runs: list[tuple[date, date]] = field(default_factory=list)
    days: list[date] = field(default_factory=list)


def months(planted_on: date, names: Callable[[date], str]) -> tuple[Span, ...]:
    """Return the months from planting to the end of the season, named by `names`."""
    spans: list[Span] = []
    first, end = planted_on.replace(day=1), planted_on + timedelta(days=END)
    while first <= end:
        following = (first + timedelta(days=31)).replace(day=1)
        year = str(first.year) if not spans or first.month == 1 else ""
        spans.append(Span(first=first, last=following - _ONE_DAY, name=names(first), year=year))
        first = following
    return tuple(spans)


def weeks(planted_on: date) -> tuple[Span, ...]:
    """Return the season in rows of four weeks, numbered from 1."""
    return tuple(
        Span(
            first=planted_on + timedelta(days=week * WEEK),
            last=planted_on + timedelta(days=(week + _ROW_WEEKS) * WEEK - 1),
            name=f"{week + 1}-{week + _ROW_WEEKS}",
        )
        for week in range(0, END // WEEK + 1, _ROW_WEEKS)
    )


def lay_out(
    calendar: Calendar,
    plot: PlotDays,
    spans: Sequence[Span],
    strip: Season,
    *,
    labels: Names,
    stages: Names,
    mark: Callable[[date], str],
    long_mark: Callable[[date], str],
    elevation_m: int | None = None,
) -> Almanac:
    """Return the sheet of a plot.

    `labels` names a job by its id and `stages` a stage by its key; `mark` tells a day within its row, `long_mark`
    a day on its own.
    """
    planted_on = plot.planted_on
    end = planted_on + timedelta(days=END)
    dues = season(calendar, plot, planted_on - _BEFORE, end)
    often, rare = _columns(dues, end)
    fruit = calendar.for_plot(plot.traits).first_fruit_between(planted_on, elevation_m)
    notes = [
        (due.due_on, labels(due.task.id), mark(due.due_on))
        for due in rare
        if due.due_on >= planted_on and due.task.id != "first_fruit"
    ]
    # First fruit is never told as one day.
    notes.append((fruit[0], labels("first_fruit"), " - ".join(map(long_mark, fruit))))
    return Almanac(
        jobs=tuple(labels(column.task.id) for column in often),
        before=tuple(
            f"{labels(due.task.id)} {long_mark(due.due_on)}" for due in rare if due.due_on < planted_on
        ),
        rows=tuple(
            Row(
                span=span,
                spine=tuple(_spine(span, strip, planted_on, stages)),
                cells=tuple(_cell(span, column, labels, mark) for column in often),
                notes=_notes(span, notes),
            )
            for span in spans
        ),
    )


def _columns(dues: Iterable[Due], end: date) -> tuple[list[_Column], list[Due]]:
    """Part the jobs that come often, as columns in the order in which they begin, from all the others."""
    by_task: dict[str, list[Due]] = {}
    for due in dues:
        by_task.setdefault(due.task.id, []).append(due)
    often = [_column(found, end) for found in by_task.values() if len(found) > _OFTEN]
    rare = [
        due for found in by_task.values() if len(found) <= _OFTEN for due in found if not _asked_again(due)
    ]
    return often, sorted(rare, key=lambda due: due.due_on)


def _asked_again(due: Due) -> bool:
    return due.task.repeat_after is not None and due.ordinal == len(due.task.first)


def _column(dues: Sequence[Due], end: date) -> _Column:
    task = dues[0].task
    column = _Column(task=task)
    if task.rides is Rides.PICKING_DAYS:
        column.runs.append((dues[0].due_on, end))
        return column
    nominal = task.nominal_days
    weekly = {n for n, day in enumerate(nominal[:-1]) if nominal[n + 1] - day <= WEEK}
    for place, due in enumerate(dues):
        later = dues[place + 1].due_on if place + 1 < len(dues) else due.due_on + timedelta(days=WEEK)
        if due.ordinal in weekly:
            _lengthen(column.runs, due.due_on, later)
        elif due.ordinal - 1 in weekly:
            # The last of a weekly stretch: its own week belongs to the line.
            _lengthen(column.runs, due.due_on, due.due_on + timedelta(days=WEEK))
        else:
            column.days.append(due.due_on)
    return column


def _lengthen(runs: list[tuple[date, date]], first: date, end: date) -> None:
    if runs and runs[-1][1] == first:
        first = runs.pop()[0]
    runs.append((first, end))


def _cell(span: Span, column: _Column, labels: Names, mark: Callable[[date], str]) -> Cell:
    strokes = (span.part(first, end) for first, end in column.runs)
    return Cell(
        job=labels(column.task.id),
        strokes=tuple(stroke for stroke in strokes if stroke),
        figures=tuple(mark(day) for day in column.days if span.first <= day <= span.last),
    )


def _notes(span: Span, notes: Iterable[tuple[date, str, str]]) -> tuple[str, ...]:
    """Return the rare jobs of a row, each once with all its days, in the order of the first."""
    found: dict[str, list[str]] = {}
    for _, name, day in sorted(note for note in notes if span.first <= note[0] <= span.last):
        found.setdefault(name, []).append(day)
    return tuple(f"{name} {', '.join(days)}" for name, days in found.items())


def _spine(span: Span, strip: Season, planted_on: date, stages: Names) -> Iterator[Stroke]:
    for band in strip.bands:
        first, end = planted_on + timedelta(days=band.first), planted_on + timedelta(days=band.end)
        part = span.part(first, end)
        if part is not None:
            named = band.roomy and span.first <= first <= span.last
            yield replace(part, key=band.key, name=stages(band.key) if named else "")
