"""The planner's set-based statements: which plots are due, and their reminders, a day at a time."""

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime

from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Date,
    Integer,
    MetaData,
    SmallInteger,
    Table,
    Text,
    and_,
    bindparam,
    delete,
    func,
    select,
    text,
    update,
)
from sqlalchemy import insert as plain_insert
from sqlalchemy.schema import CreateTable

from service.agronomy.due import DayColumn, Span
from service.db.tables.people import farmer
from service.db.tables.plots import calendar_version, plot, reminder, sweep
from service.db.upsert import insert_new

# The spans stand in a table of the connection's own, so that the statement is always the same.
_span = Table(
    "due_span",
    MetaData(),
    Column("task", Text, nullable=False),
    Column("ordinal", SmallInteger, nullable=False),
    Column("planted_from", Date, nullable=False),
    Column("planted_to", Date, nullable=False),
    Column("rides", Text, nullable=False),
    Column("early_only", Boolean, nullable=False),
    Column("barred", Integer, nullable=False),
    prefixes=["TEMPORARY"],
)
# A server is told all spans at once: one by one they take a fifth of the time of planning 20,000 farmers.
_FILL_AT_ONCE = text(
    "INSERT INTO due_span SELECT * FROM jsonb_to_recordset(CAST(:spans AS jsonb)) AS span(task text,"
    " ordinal smallint, planted_from date, planted_to date, rides text, early_only boolean, barred integer)"
)
# Written out for two words. CROSS JOIN has SQLite walk the spans and seek the plots; left to itself it has been
# seen to walk all plots, which takes many times as long. To PostgreSQL it means the same as JOIN. ORDER BY has the
# rows arrive in the order of the primary key, which fills the index from left to right.
_INSERT_DUE = """
    INSERT INTO reminder (due_on, task, plot_id, revision, ordinal)
    SELECT :day, due_span.task, plot.id, plot.revision, due_span.ordinal
    FROM due_span CROSS JOIN plot
    WHERE [LIVE] AND plot.zone = :zone AND plot.calendar_id = :calendar_id
      AND plot.planted_on BETWEEN due_span.planted_from AND due_span.planted_to
      AND (plot.traits & due_span.barred) = 0
      AND CASE due_span.rides
            WHEN 'text_day' THEN plot.text_day = :weekday
            WHEN 'picking_text_day' THEN plot.picking_text_day = :weekday
            WHEN 'prompt_days' THEN (plot.prompt_days & :bit) <> 0
              AND (plot.picking_early OR NOT due_span.early_only)
            ELSE [LIVE] END
    ORDER BY due_span.task, plot.id
    ON CONFLICT DO NOTHING
    """
# The condition of the planning index, in each engine's words.
_LIVE = {"sqlite": "plot.live = 1", "postgresql": "plot.live"}
_TYPES = (
    bindparam("day", type_=Date),
    bindparam("weekday", type_=SmallInteger),
    bindparam("bit", type_=SmallInteger),
)
_INSERTS = {
    name: text(_INSERT_DUE.replace("[LIVE]", live)).bindparams(*_TYPES) for name, live in _LIVE.items()
}
# Plots that are prompted before picking was expected, among those that ride their prompt days.
EARLY = "early"
# The traits that the plots counted in a row have in common.
KIND = "traits"
_weekday = bindparam("weekday", type_=SmallInteger)
_prompted = plot.c.prompt_days.op("&")(bindparam("bit", type_=SmallInteger)) != 0
_COUNTS = (
    select(
        plot.c.planted_on,
        plot.c.traits,
        func.count().filter(plot.c.text_day == _weekday).label(DayColumn.TEXT_DAY),
        func.count().filter(plot.c.picking_text_day == _weekday).label(DayColumn.PICKING_TEXT_DAY),
        func.count().filter(_prompted).label(DayColumn.PROMPT_DAYS),
        func.count().filter(and_(_prompted, plot.c.picking_early)).label(EARLY),
        func.count().label(DayColumn.ANY_DAY),
    )
    .where(plot.c.live, plot.c.zone == bindparam("zone"), plot.c.calendar_id == bindparam("calendar_id"))
    .group_by(plot.c.planted_on, plot.c.traits)
)
_ZONES = select(plot.c.zone, plot.c.calendar_id).where(plot.c.live).distinct().order_by(plot.c.zone)
# Written once, in words that both engines know: a statement that makes a table is compiled at each use else.
_CREATE_SPANS = text(str(CreateTable(_span, if_not_exists=True)))
_CLEAR_SPANS = delete(_span)
_FILL = plain_insert(_span)
_of_zone = and_(sweep.c.zone == bindparam("the_zone"), sweep.c.calendar_id == bindparam("the_calendar"))
_LAST_DAY = select(func.max(sweep.c.day)).where(_of_zone)
_newest = (
    select(sweep.c.zone, sweep.c.calendar_id, func.max(sweep.c.day).label("day"))
    .group_by(sweep.c.zone, sweep.c.calendar_id)
    .subquery()
)
_UNMERGED = (
    select(sweep)
    .join(
        _newest,
        and_(
            sweep.c.zone == _newest.c.zone,
            sweep.c.calendar_id == _newest.c.calendar_id,
            sweep.c.day == _newest.c.day,
        ),
    )
    .where(sweep.c.merged_at.is_(None))
)
_MERGED = (
    update(sweep)
    .where(_of_zone, sweep.c.day <= bindparam("until"), sweep.c.merged_at.is_(None))
    .values(merged_at=bindparam("new_merged_at"))
)


class Planning:
    """Planning one local day, set by set."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._dialect = connection.dialect.name

    def zones(self) -> tuple[tuple[str, str], ...]:
        """Return each (zone, calendar) that has live plots."""
        return tuple((row.zone, row.calendar_id) for row in self._connection.execute(_ZONES))

    def counts(self, zone: str, calendar_id: str, day: date) -> Mapping[date, Sequence[Mapping[str, int]]]:
        """Return for each planting date how many plots ride which column that day, those of each kind by themselves."""
        rows = self._connection.execute(
            _COUNTS, {"zone": zone, "calendar_id": calendar_id, **_weekday_of(day)}
        )
        found: dict[date, list[Mapping[str, int]]] = {}
        for row in rows.mappings():
            found.setdefault(row["planted_on"], []).append(dict(row))
        return found

    def ages_in(self, district_id: int, day: date) -> tuple[tuple[int, int, int], ...]:
        """Return (age in days, traits, plots) of the live plots of a district."""
        found = (
            select(plot.c.planted_on, plot.c.traits, func.count().label("plots"))
            .join(farmer, farmer.c.id == plot.c.farmer_id)
            .where(plot.c.live, farmer.c.district_id == district_id)
            .group_by(plot.c.planted_on, plot.c.traits)
        )
        rows = self._connection.execute(found)
        return tuple(((day - row.planted_on).days, row.traits, row.plots) for row in rows)

    def plan_district_by(self, district_id: int, calendar_id: str) -> int:
        """Let the plots of a district be planned by a calendar; return how many were not until now."""
        theirs = select(farmer.c.id).where(farmer.c.district_id == district_id)
        others = update(plot).where(plot.c.farmer_id.in_(theirs), plot.c.calendar_id != calendar_id)
        return self._connection.execute(others.values(calendar_id=calendar_id)).rowcount

    def insert_due(self, day: date, zone: str, calendar_id: str, spans: Sequence[Span]) -> int:
        """Insert the reminders of spans; ones there already stay. Return how many are new."""
        self._tell(spans)
        values = {"day": day, "zone": zone, "calendar_id": calendar_id, **_weekday_of(day)}
        return self._connection.execute(_INSERTS[self._dialect], values).rowcount

    def _tell(self, spans: Sequence[Span]) -> None:
        """Let these spans, and no others, stand in the connection's own table."""
        self._connection.execute(_CREATE_SPANS)
        self._connection.execute(_CLEAR_SPANS)
        rows = [
            {
                "task": span.task_id,
                "ordinal": span.ordinal,
                "planted_from": span.planted_from,
                "planted_to": span.planted_to,
                "rides": span.rides,
                "early_only": span.early_only,
                "barred": span.barred,
            }
            for span in spans
        ]
        if self._dialect == "postgresql":
            self._connection.execute(_FILL_AT_ONCE, {"spans": json.dumps(rows, default=date.isoformat)})
        else:
            self._connection.execute(_FILL, rows)

    def insert_for_plot(self, day: date, plot_id: int, revision: int, task: str, ordinal: int) -> None:
        """Insert one reminder of one plot; one there already stays."""
        row = {"due_on": day, "task": task, "plot_id": plot_id, "revision": revision, "ordinal": ordinal}
        self._connection.execute(insert_new(self._dialect, reminder), row)

    def last_day(self, zone: str, calendar_id: str) -> date | None:
        """Return the newest day that is planned for a zone and calendar."""
        values = {"the_zone": zone, "the_calendar": calendar_id}
        found: date | None = self._connection.execute(_LAST_DAY, values).scalar()
        return found

    def mark_planned(self, zone: str, calendar_id: str, day: date, reminders: int, at: datetime) -> None:
        """Keep that a day is planned."""
        self._connection.execute(
            insert_new(self._dialect, sweep),
            {"zone": zone, "day": day, "calendar_id": calendar_id, "reminders": reminders, "done_at": at},
        )

    def keep_version(self, calendar_id: str, version: str, fingerprint: str, on: date) -> str:
        """Keep a calendar's version unless it is there; return the fingerprint that is kept for it."""
        self._connection.execute(
            insert_new(self._dialect, calendar_version).values(
                calendar_id=calendar_id, version=version, fingerprint=fingerprint, first_used_on=on
            )
        )
        kept = select(calendar_version.c.fingerprint).where(
            calendar_version.c.calendar_id == calendar_id, calendar_version.c.version == version
        )
        return str(self._connection.execute(kept).scalar_one())

    def unmerged(self) -> tuple[tuple[str, str, date], ...]:
        """Return (zone, calendar, newest planned day) of those whose newest day has no texts written yet."""
        return tuple((row.zone, row.calendar_id, row.day) for row in self._connection.execute(_UNMERGED))

    def mark_merged(self, zone: str, calendar_id: str, until: date, at: datetime) -> None:
        """Keep that the texts of all days up to `until` are written."""
        values = {"the_zone": zone, "the_calendar": calendar_id, "until": until, "new_merged_at": at}
        self._connection.execute(_MERGED, values)

    def merge_again(self, zone: str, calendar_id: str, day: date) -> None:
        """Let the next tick look once more at who has no text of that day yet; whoever has one gets no other."""
        self._connection.execute(
            update(sweep)
            .where(sweep.c.zone == zone, sweep.c.calendar_id == calendar_id, sweep.c.day == day)
            .values(merged_at=None)
        )


def _weekday_of(day: date) -> dict[str, int]:
    return {"weekday": day.weekday(), "bit": 1 << day.weekday()}
