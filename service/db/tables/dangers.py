"""What threatens a district or a village, by the weather or by what farmers see, and what an officer did about it."""

from sqlalchemy import (
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    SmallInteger,
    Table,
    Text,
    text,
)

from service.db.tables.meta import Instant, RowId, metadata

# By the weather one a district, hazard and day, however often the weather of that day comes in; by what farmers see one
# a village, pest and day.
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
    Column("village_id", RowId, ForeignKey("village.id")),
    Column("pest", Text),
)
_OF_WEATHER = text("village_id IS NULL")
Index(
    "uq_danger_district_id_hazard_day",
    danger.c.district_id,
    danger.c.hazard,
    danger.c.day,
    unique=True,
    sqlite_where=_OF_WEATHER,
    postgresql_where=_OF_WEATHER,
)
_OF_VILLAGE = text("village_id IS NOT NULL")
Index(
    "uq_danger_village_id_pest_day",
    danger.c.village_id,
    danger.c.pest,
    danger.c.day,
    unique=True,
    sqlite_where=_OF_VILLAGE,
    postgresql_where=_OF_VILLAGE,
)
Index("ix_danger_day_district_id", danger.c.day, danger.c.district_id)
_WRITTEN = text("alert_id IS NOT NULL")
Index("ix_danger_alert_id", danger.c.alert_id, sqlite_where=_WRITTEN, postgresql_where=_WRITTEN)
