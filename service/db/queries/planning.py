"""The planner's set-based statements: which plots are due, and their reminders, a day at a time."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, datetime

from sqlalchemy import (
    ColumnElement,
    Connection,
    Date,
    SmallInteger,
    Text,
    and_,
    column,
    func,
    literal,
    select,
    true,
    update,
    values,
)

from service.agronomy.due import DayColumn, Span
from service.db.tables.plots import plot, reminder, sweep
from service.db.upsert import insert, insert_new

# A span of planting dates as a row that plot is joined to. One CTE, because SQLite names columns only there.
_SPAN_COLUMNS = (
    column("task", Text),
    column("ordinal", SmallInteger),
    column("planted_from", Date),
    column("planted_to", Date),
)


def _rides(rides: DayColumn, weekday: int) -> ColumnElement[bool]:
    conditions: dict[DayColumn, ColumnElement[bool]] = {
        DayColumn.TEXT_DAY: plot.c.text_day == weekday,
        DayColumn.PICKING_TEXT_DAY: plot.c.picking_text_day == weekday,
        DayColumn.PROMPT_DAYS: plot.c.prompt_days.op("&")(1 << weekday) != 0,
        DayColumn.ANY_DAY: true(),
    }
    return conditions[rides]


class Planning:
    """Planning one local day, set by set."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._dialect = connection.dialect.name

    def zones(self) -> tuple[tuple[str, str], ...]:
        """Return each (zone, calendar) that has live plots."""
        rows = self._connection.execute(
            select(plot.c.zone, plot.c.calendar_id).where(plot.c.live).distinct().order_by(plot.c.zone)
        )
        return tuple((row.zone, row.calendar_id) for row in rows)

    def counts(self, zone: str, calendar_id: str, rides: DayColumn, weekday: int) -> Counter[date]:
        """Return how many live plots of each planting date ride on that weekday: how large a chunk will be."""
        rows = self._connection.execute(
            select(plot.c.planted_on, func.count().label("plots"))
            .where(
                plot.c.live, plot.c.zone == zone, plot.c.calendar_id == calendar_id, _rides(rides, weekday)
            )
            .group_by(plot.c.planted_on)
        )
        return Counter({row.planted_on: row.plots for row in rows})

    def insert_due(self, day: date, zone: str, calendar_id: str, spans: Sequence[Span]) -> int:
        """Insert the reminders of spans that all ride the same column; ones there already stay. Return how many."""
        first = spans[0]
        rows = [(span.task_id, span.ordinal, span.planted_from, span.planted_to) for span in spans]
        span = values(*_SPAN_COLUMNS, name="span").data(rows).cte("span")
        early = (plot.c.picking_early,) if first.early_only else ()
        due = (
            select(
                literal(day, Date),
                span.c.task,
                plot.c.id,
                plot.c.revision,
                span.c.ordinal,
            )
            .select_from(span.join(plot, plot.c.planted_on.between(span.c.planted_from, span.c.planted_to)))
            .where(
                plot.c.live,
                plot.c.zone == zone,
                plot.c.calendar_id == calendar_id,
                _rides(first.rides, first.weekday),
                *early,
            )
        )
        columns = ["due_on", "task", "plot_id", "revision", "ordinal"]
        statement = insert(self._dialect, reminder).from_select(columns, due).on_conflict_do_nothing()
        return self._connection.execute(statement).rowcount

    def insert_for_plot(self, day: date, plot_id: int, revision: int, due: Iterable[tuple[str, int]]) -> None:
        """Insert the reminders of one plot: (task, ordinal) each."""
        rows = [
            {"due_on": day, "task": task, "plot_id": plot_id, "revision": revision, "ordinal": ordinal}
            for task, ordinal in due
        ]
        if rows:
            self._connection.execute(insert_new(self._dialect, reminder), rows)

    def last_day(self, zone: str, calendar_id: str) -> date | None:
        """Return the newest day that is planned for a zone and calendar."""
        found: date | None = self._connection.execute(
            select(func.max(sweep.c.day)).where(sweep.c.zone == zone, sweep.c.calendar_id == calendar_id)
        ).scalar()
        return found

    def is_planned(self, zone: str, calendar_id: str, day: date) -> bool:
        """Return whether a day is planned."""
        found = select(sweep.c.day).where(
            sweep.c.zone == zone, sweep.c.calendar_id == calendar_id, sweep.c.day == day
        )
        return self._connection.execute(found).first() is not None

    def mark_planned(self, zone: str, calendar_id: str, day: date, reminders: int, at: datetime) -> None:
        """Keep that a day is planned."""
        self._connection.execute(
            insert_new(self._dialect, sweep).values(
                zone=zone, day=day, calendar_id=calendar_id, reminders=reminders, done_at=at
            )
        )

    def unmerged(self) -> tuple[tuple[str, str, date], ...]:
        """Return (zone, calendar, newest planned day) of those whose newest day has no texts written yet."""
        newest = (
            select(sweep.c.zone, sweep.c.calendar_id, func.max(sweep.c.day).label("day"))
            .group_by(sweep.c.zone, sweep.c.calendar_id)
            .subquery()
        )
        rows = self._connection.execute(
            select(sweep)
            .join(
                newest,
                and_(
                    sweep.c.zone == newest.c.zone,
                    sweep.c.calendar_id == newest.c.calendar_id,
                    sweep.c.day == newest.c.day,
                ),
            )
            .where(sweep.c.merged_at.is_(None))
        )
        return tuple((row.zone, row.calendar_id, row.day) for row in rows)

    def mark_merged(self, zone: str, calendar_id: str, until: date, at: datetime) -> None:
        """Keep that the texts of all days up to `until` are written."""
        self._connection.execute(
            update(sweep)
            .where(
                sweep.c.zone == zone,
                sweep.c.calendar_id == calendar_id,
                sweep.c.day <= until,
                sweep.c.merged_at.is_(None),
            )
            .values(merged_at=at)
        )
