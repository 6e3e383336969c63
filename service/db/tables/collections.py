"""Fruit that a group brings together: its collection days, what was said to come, what came, and what was paid.

Money is whole units as `flows.money` counts them, with its currency beside it.
"""

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

from service.db.tables.meta import Instant, RowId, metadata

collection = Table(
    "collection",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("group_id", RowId, ForeignKey("farmer_group.id"), nullable=False, index=True),
    Column("place", Text, nullable=False),
    # A bit mask, bit 0 is Monday.
    Column("weekdays", SmallInteger, nullable=False),
    # Local to the group's district.
    Column("hour", SmallInteger, nullable=False),
    Column("first_on", Date, nullable=False),
    Column("last_on", Date),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("at", Instant, nullable=False),
    CheckConstraint("weekdays BETWEEN 1 AND 127", name="weekdays"),
    CheckConstraint("hour BETWEEN 0 AND 23", name="hour"),
    CheckConstraint("last_on >= first_on", name="ends_after"),
)

# A day that is not as the weekdays say: called off, or on another day instead.
collection_change = Table(
    "collection_change",
    metadata,
    Column("collection_id", RowId, ForeignKey("collection.id"), nullable=False),
    Column("day", Date, nullable=False),
    # Null where the day is called off.
    Column("moved_to", Date),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("at", Instant, nullable=False),
    PrimaryKeyConstraint("collection_id", "day"),
    CheckConstraint("moved_to <> day", name="moves"),
)

# Nothing is overwritten: the last one of a day that was not taken back holds. One told to an officer has no text.
estimate = Table(
    "estimate",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("farmer_id", RowId, ForeignKey("farmer.id"), nullable=False),
    Column("for_day", Date, nullable=False),
    Column("grams", Integer, nullable=False),
    Column("inbound_id", RowId, nullable=False),
    Column("phone_id", RowId, nullable=False),
    Column("at", Instant, nullable=False),
    # The text that took it back.
    Column("voided_by", RowId),
    CheckConstraint("grams >= 0", name="grams_not_negative"),
)
Index("ix_estimate_farmer_id_for_day", estimate.c.farmer_id, estimate.c.for_day)
# Each text asks what its phone saved last.
Index("ix_estimate_phone_id_at", estimate.c.phone_id, estimate.c.at)

payment = Table(
    "payment",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("farmer_id", RowId, ForeignKey("farmer.id"), nullable=False, index=True),
    Column("amount", Integer, nullable=False),
    Column("currency", Text, nullable=False),
    Column("paid_on", Date, nullable=False),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("at", Instant, nullable=False),
    Column("voided_at", Instant),
    Column("voided_by", RowId, ForeignKey("officer.id")),
    CheckConstraint("amount >= 0", name="amount_not_negative"),
)

delivery = Table(
    "delivery",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("collection_id", RowId, ForeignKey("collection.id"), nullable=False),
    Column("farmer_id", RowId, ForeignKey("farmer.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("accepted_g", Integer, nullable=False),
    Column("rejected_g", Integer, nullable=False),
    Column("reason", Text),
    # What the clerk adds to the reason.
    Column("words", Text, nullable=False),
    # Whether the fruit was under a spray's hold on that day.
    Column("under_hold", Boolean, nullable=False),
    # For a kilo of what was accepted.
    Column("price", Integer, nullable=False),
    Column("amount", Integer, nullable=False),
    Column("currency", Text, nullable=False),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("at", Instant, nullable=False),
    Column("payment_id", RowId, ForeignKey("payment.id"), index=True),
    Column("voided_at", Instant),
    Column("voided_by", RowId, ForeignKey("officer.id")),
    CheckConstraint("accepted_g >= 0 AND rejected_g >= 0 AND price >= 0", name="not_negative"),
    CheckConstraint("rejected_g = 0 OR reason IS NOT NULL", name="rejected_for_a_reason"),
    # Under a hold nothing is accepted: not by a slip of the page either.
    CheckConstraint("accepted_g = 0 OR NOT under_hold", name="nothing_under_a_hold"),
    # What was taken back is not paid for.
    CheckConstraint("payment_id IS NULL OR voided_at IS NULL", name="paid_is_kept"),
)
Index("ix_delivery_collection_id_day", delivery.c.collection_id, delivery.c.day)
Index("ix_delivery_farmer_id_day", delivery.c.farmer_id, delivery.c.day)
# One a farmer and day counts; a second one is a correction, which takes the first back.
_COUNTS = text("voided_at IS NULL")
Index(
    "uq_delivery_collection_id_day_farmer_id",
    delivery.c.collection_id,
    delivery.c.day,
    delivery.c.farmer_id,
    unique=True,
    sqlite_where=_COUNTS,
    postgresql_where=_COUNTS,
)
