"""Plots, their calendar, what fell due on them and what was picked from them."""

from typing import Any

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    PrimaryKeyConstraint,
    SmallInteger,
    Table,
    Text,
    text,
)

from service.agronomy.traits import COLUMNS, UNTOLD, bits_by_group
from service.db.tables.meta import Instant, Json, RowId, metadata


def _traits() -> str:
    """Return what `plot.traits` has to be for the words beside it: the bits of `PlotTraits`."""
    groups = []
    for name, bits in bits_by_group().items():
        whens = " ".join(f"WHEN '{word}' THEN {bit}" for word, bit in bits.items() if word)
        groups.append(f"CASE {COLUMNS[name]} {whens} ELSE {bits[None]} END")
    return " + ".join(groups)


# zone, calendar_id, planted_on and the weekday columns repeat here what farmer and district know, because the
# planner's one hot statement may join nothing (measured: a join costs it threefold).
plot = Table(
    "plot",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("farmer_id", RowId, ForeignKey("farmer.id"), nullable=False, index=True),
    Column("planted_on", Date, nullable=False),
    Column("precision", Text, nullable=False),
    Column("plants", Integer, nullable=False),
    Column("plant_type", Text),
    Column("stock", Text),
    Column("mulch_kind", Text),
    Column("water_method", Text),
    Column("mother_rows", Text),
    # The words before as one number, for the planner. As a column that the database makes by itself it would keep
    # SQLite from planning by the index alone.
    Column("traits", Integer, nullable=False, server_default=text(str(UNTOLD.bits))),
    Column("bed_width_cm", SmallInteger),
    Column("path_width_cm", SmallInteger),
    Column("bed_rows", SmallInteger),
    Column("spacing_cm", SmallInteger),
    Column("elevation_m", Integer),
    Column("zone", Text, nullable=False),
    Column("calendar_id", Text, nullable=False),
    Column("revision", Integer, nullable=False, server_default=text("0")),
    # Weekdays: 0 is Monday; sets of weekdays are bit masks, bit 0 is Monday.
    Column("text_day", SmallInteger, nullable=False),
    Column("picking_text_day", SmallInteger, nullable=False),
    Column("pick_days", SmallInteger, nullable=False),
    Column("prompt_days", SmallInteger, nullable=False),
    Column("picking_early", Boolean, nullable=False, server_default=text("false")),
    Column("live", Boolean, nullable=False),
    Column("closed_on", Date),
    # While it is set, picking is asked after on the evenings before the collection's days: prompt_days are those.
    Column("collection_id", RowId, ForeignKey("collection.id")),
    CheckConstraint("plants > 0", name="plants_positive"),
    CheckConstraint("text_day BETWEEN 0 AND 6 AND picking_text_day BETWEEN 0 AND 6", name="weekdays"),
    CheckConstraint(f"traits = {_traits()}", name="traits_are_the_words"),
)
# SQLite keeps truth as 1 and uses a partial index only for a statement that says it in the same words.
_LIVE: dict[str, Any] = {"sqlite_where": text("live = 1"), "postgresql_where": text("live")}
Index(
    "ix_plot_planning",
    plot.c.zone,
    plot.c.calendar_id,
    plot.c.planted_on,
    plot.c.traits,
    plot.c.text_day,
    plot.c.picking_text_day,
    plot.c.prompt_days,
    plot.c.picking_early,
    plot.c.id,
    plot.c.revision,
    # Named in the statement, so it must be in the index for the table itself to be left alone.
    plot.c.live,
    **_LIVE,
)
_STEADY: dict[str, Any] = {
    "sqlite_where": text("live = 1 AND prompt_days <> pick_days"),
    "postgresql_where": text("live AND prompt_days <> pick_days"),
}
# The few plots whose farmers text weights so steadily that they are prompted once a week only.
Index("ix_plot_steady", plot.c.zone, plot.c.id, **_STEADY)

_COLLECTED = text("collection_id IS NOT NULL")
Index("ix_plot_collection_id", plot.c.collection_id, sqlite_where=_COLLECTED, postgresql_where=_COLLECTED)

plot_change = Table(
    "plot_change",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False, index=True),
    Column("at", Instant, nullable=False),
    Column("who", Text, nullable=False),
    Column("before", Json, nullable=False),
    Column("after", Json, nullable=False),
)

calendar_version = Table(
    "calendar_version",
    metadata,
    Column("calendar_id", Text, primary_key=True),
    Column("version", Text, primary_key=True),
    Column("fingerprint", Text, nullable=False),
    Column("first_used_on", Date, nullable=False),
)

# One row says: this local day has been planned, and since merged_at its texts are written.
sweep = Table(
    "sweep",
    metadata,
    Column("zone", Text, primary_key=True),
    Column("day", Date, primary_key=True),
    Column("calendar_id", Text, primary_key=True),
    Column("reminders", Integer, nullable=False),
    Column("done_at", Instant, nullable=False),
    Column("merged_at", Instant),
)

# No foreign key: plot_id comes out of plot in the same statement, and checking it again costs a third more.
reminder = Table(
    "reminder",
    metadata,
    Column("due_on", Date, nullable=False),
    Column("task", Text, nullable=False),
    Column("plot_id", RowId, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("ordinal", SmallInteger, nullable=False),
    Column("state", Text, nullable=False, server_default="due"),
    Column("why", Text),
    Column("place", SmallInteger),
    Column("message_day", Date),
    Column("message_id", RowId),
    Column("answer", Text),
    Column("answered_at", Instant),
    Column("nudged_on", Date),
    PrimaryKeyConstraint("due_on", "task", "plot_id", "revision"),
)
# By plot there are two indexes: of those that wait, who are few, and of all others. One over both would be written to
# at a thousand places while a day is planned, and the more so the more years it holds.
_WAITING = text("state = 'due'")
Index(
    "ix_reminder_waiting",
    reminder.c.plot_id,
    sqlite_where=_WAITING,
    postgresql_where=_WAITING,
)
_SETTLED = text("state != 'due'")
Index(
    "ix_reminder_settled",
    reminder.c.plot_id,
    reminder.c.due_on,
    sqlite_where=_SETTLED,
    postgresql_where=_SETTLED,
)

# What a text said, and what it was that nobody answered: few days are asked about, years are kept.
_TEXTED = text("message_day IS NOT NULL")
Index(
    "ix_reminder_text",
    reminder.c.message_day,
    reminder.c.message_id,
    sqlite_where=_TEXTED,
    postgresql_where=_TEXTED,
)

_LISTED = text("place IS NOT NULL")
Index("ix_reminder_listed", reminder.c.plot_id, sqlite_where=_LISTED, postgresql_where=_LISTED)

scout_report = Table(
    "scout_report",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False, index=True),
    Column("seen_on", Date, nullable=False),
    Column("finding", Text, nullable=False),
    Column("inbound_id", RowId, nullable=False, index=True),
    # Where the farmer lived then: what is seen more often is found by village.
    Column("village_id", RowId, ForeignKey("village.id")),
)
_PLACED = text("village_id IS NOT NULL")
Index(
    "ix_scout_report_village_id_seen_on",
    scout_report.c.village_id,
    scout_report.c.seen_on,
    sqlite_where=_PLACED,
    postgresql_where=_PLACED,
)

done_report = Table(
    "done_report",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False, index=True),
    Column("task", Text, nullable=False),
    Column("due_on", Date, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("inbound_id", RowId, nullable=False, index=True),
    Column("at", Instant, nullable=False),
    Column("voided_by", RowId),
)

harvest = Table(
    "harvest",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False),
    Column("picked_on", Date, nullable=False),
    Column("grams", Integer, nullable=False),
    Column("state", Text, nullable=False),
    # A weight came by a text from a phone, or was told to an officer.
    Column("inbound_id", RowId),
    Column("phone_id", RowId),
    Column("officer_id", RowId),
    Column("at", Instant, nullable=False),
    Column("voided_by", RowId),
    # Picked on or after the day of a spray, before its hold was over: kept true by whoever changes either.
    Column("in_hold", Boolean, nullable=False, server_default=text("false")),
    CheckConstraint("grams >= 0", name="grams_not_negative"),
)
Index("ix_harvest_plot_id_picked_on", harvest.c.plot_id, harvest.c.picked_on)
# Each text asks what its phone saved last.
Index("ix_harvest_phone_id_at", harvest.c.phone_id, harvest.c.at)
# The report asks for the weights of some days.
Index("ix_harvest_picked_on_plot_id", harvest.c.picked_on, harvest.c.plot_id)
_IN_QUESTION = text("state = 'in_question'")
Index("ix_harvest_in_question", harvest.c.at, sqlite_where=_IN_QUESTION, postgresql_where=_IN_QUESTION)
