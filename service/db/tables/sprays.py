"""Sprays that were told of, and until when each keeps fruit from being picked."""

from sqlalchemy import Boolean, CheckConstraint, Column, Date, ForeignKey, Index, SmallInteger, Table, text

from service.db.tables.meta import Instant, RowId, metadata

# A spray told by text is kept once for each of the farmer's plots, under the text it was told in; one that an officer
# was told of has no text. What was sprayed is not kept: nobody asks for it.
spray = Table(
    "spray",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("plot_id", RowId, ForeignKey("plot.id"), nullable=False),
    Column("sprayed_on", Date, nullable=False),
    # Days that the label says to wait; null while nobody knows them.
    Column("label_days", SmallInteger),
    # The first day on which fruit may be picked again.
    Column("pick_from", Date, nullable=False),
    # The farmer has said that what was noted as picked on that day, before this was told, was picked before the spray.
    Column("picked_first", Boolean, nullable=False, server_default=text("false")),
    Column("inbound_id", RowId, index=True),
    Column("phone_id", RowId),
    Column("officer_id", RowId, ForeignKey("officer.id")),
    Column("at", Instant, nullable=False),
    Column("voided_at", Instant),
    # The text that took it back; null where an officer did.
    Column("voided_by", RowId),
    CheckConstraint("label_days > 0", name="days_positive"),
    CheckConstraint("pick_from > sprayed_on", name="ends_after"),
    CheckConstraint("inbound_id IS NOT NULL OR officer_id IS NOT NULL", name="told_by_somebody"),
)
Index("ix_spray_plot_id_pick_from", spray.c.plot_id, spray.c.pick_from)
# Each text asks what its phone saved last.
Index("ix_spray_phone_id_at", spray.c.phone_id, spray.c.at)
# Each morning asks which holds end; Today asks which run.
_COUNTS = text("voided_at IS NULL")
Index("ix_spray_pick_from", spray.c.pick_from, sqlite_where=_COUNTS, postgresql_where=_COUNTS)
