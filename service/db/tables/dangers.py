"""What the weather threatens a district with on a day, and what an officer did about it."""

from sqlalchemy import (
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    SmallInteger,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from service.db.tables.meta import Instant, RowId, metadata

# One a district, hazard and day, however often the weather of that day comes in.
danger = Table(
    "danger",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("district_id", RowId, ForeignKey("district.id"), nullable=False),
    Column("hazard", Text, nullable=False),
    Column("day", Date, nullable=False),
    Column("level", SmallInteger, nullable=False),
    # What the pre-approved text is filled with; none where there is no such text.
    Column("figure", Integer),
    # Plots from this height on are threatened; none means all of them.
    Column("metres_from", Integer),
    Column("reason", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("found_at", Instant, nullable=False),
    Column("settled_by", RowId, ForeignKey("officer.id")),
    Column("settled_at", Instant),
    Column("alert_id", RowId, ForeignKey("alert.id")),
    UniqueConstraint("district_id", "hazard", "day"),
)
_WRITTEN = text("alert_id IS NOT NULL")
Index("ix_danger_alert_id", danger.c.alert_id, sqlite_where=_WRITTEN, postgresql_where=_WRITTEN)
