"""What each farmer's own containers hold of fruit."""

from sqlalchemy import CheckConstraint, Column, ForeignKey, Integer, PrimaryKeyConstraint, Table, Text

from service.db.tables.meta import Instant, RowId, metadata

# The kind is one of `flows.vessels.Vessel`.
vessel = Table(
    "vessel",
    metadata,
    Column("farmer_id", RowId, ForeignKey("farmer.id"), nullable=False),
    Column("kind", Text, nullable=False),
    Column("grams", Integer, nullable=False),
    Column("at", Instant, nullable=False),
    PrimaryKeyConstraint("farmer_id", "kind"),
    CheckConstraint("grams > 0", name="grams_positive"),
)
