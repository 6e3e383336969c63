"""What farmers have told of their water: what they give it with, and the rain in their gauges."""

from sqlalchemy import CheckConstraint, Column, Date, ForeignKey, Index, Integer, Table, Text

from service.db.tables.meta import Instant, RowId, metadata

container = Table(
    "container",
    metadata,
    Column("farmer_id", RowId, ForeignKey("farmer.id"), primary_key=True),
    Column("kind", Text, nullable=False),
    # What a can holds, or what drip gives a plant in an hour.
    Column("millilitres", Integer, nullable=False),
    Column("at", Instant, nullable=False),
    CheckConstraint("millilitres > 0", name="millilitres_positive"),
)

# Nothing is overwritten: the last report of a day that was not taken back holds.
rain_report = Table(
    "rain_report",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("farmer_id", RowId, ForeignKey("farmer.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("tenths_mm", Integer, nullable=False),
    Column("inbound_id", RowId, nullable=False),
    Column("phone_id", RowId, nullable=False),
    Column("at", Instant, nullable=False),
    Column("voided_by", RowId),
    CheckConstraint("tenths_mm >= 0", name="tenths_mm_not_negative"),
)
Index("ix_rain_report_farmer_id_day", rain_report.c.farmer_id, rain_report.c.day)
# Each text asks what its phone saved last.
Index("ix_rain_report_phone_id_at", rain_report.c.phone_id, rain_report.c.at)
