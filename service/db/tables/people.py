"""Farmers, their phones, where they live and what they agreed to."""

from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    SmallInteger,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from service.core.folding import folded
from service.db.tables.meta import Instant, RowId, metadata

district = Table(
    "district",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("zone", Text, nullable=False),
    Column("elevation_m", Integer),
    # Tenths of a degree, south negative.
    Column("latitude", SmallInteger),
)

village = Table(
    "village",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("district_id", RowId, ForeignKey("district.id"), nullable=False),
    Column("name", Text, nullable=False),
    UniqueConstraint("district_id", "name"),
)

# Farmers who bring their fruit together.
farmer_group = Table(
    "farmer_group",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("district_id", RowId, ForeignKey("district.id"), nullable=False),
    Column("name", Text, nullable=False),
    UniqueConstraint("district_id", "name"),
)

# The number stands here and nowhere else: sealed for sending, indexed by HMAC for finding.
phone = Table(
    "phone",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("sealed", LargeBinary, nullable=False),
    Column("number_index", LargeBinary, nullable=False, unique=True),
    Column("last3", Text, nullable=False, index=True),
    Column("region", Text, nullable=False),
    Column("added_at", Instant, nullable=False),
)

# By number index, not by phone: a stranger's or an erased farmer's STOP must hold too.
stop_list = Table(
    "stop_list",
    metadata,
    Column("number_index", LargeBinary, primary_key=True),
    Column("since", Instant, nullable=False),
)

# Who was erased, and whether the number is gone too: it goes when the last answer has left.
erasure = Table(
    "erasure",
    metadata,
    Column("farmer_id", RowId, primary_key=True, autoincrement=False),
    Column("phone_id", RowId, ForeignKey("phone.id"), primary_key=True),
    Column("on_day", Date, nullable=False),
    Column("number_gone", Boolean, nullable=False),
)


def _sought(context: Any) -> str:
    """Fold the name of the row that is inserted."""
    return folded(context.get_current_parameters()["name"])


farmer = Table(
    "farmer",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("name", Text, nullable=False),
    # The name as it is searched: whatever sets the name sets this, and what erases it erases this.
    Column("sought", Text, nullable=False, default=_sought),
    Column("language", Text, nullable=False),
    Column("district_id", RowId, ForeignKey("district.id"), nullable=False),
    Column("state", Text, nullable=False),
    Column("text_hour", SmallInteger, nullable=False, server_default=text("7")),
    Column("added_at", Instant, nullable=False),
    Column("pending_until", Instant),
    Column("village_id", RowId, ForeignKey("village.id")),
    Column("group_id", RowId, ForeignKey("farmer_group.id")),
    # A lead farmer is warned first and passes it on.
    Column("lead", Boolean, nullable=False, server_default=text("false")),
    Column("alerts", Boolean, nullable=False, server_default=text("true")),
    Column("paused_until", Instant),
    Column("added_by", RowId),
    # Decided when they are added, and never changed: no advice that was not asked for, so that others can be compared.
    Column("held_out", Boolean, nullable=False, server_default=text("false")),
)
Index("ix_farmer_district_id_name", farmer.c.district_id, farmer.c.name)
_PENDING = text("state = 'pending'")
Index("ix_farmer_pending", farmer.c.pending_until, sqlite_where=_PENDING, postgresql_where=_PENDING)

_GROUPED = text("group_id IS NOT NULL")
Index("ix_farmer_group_id", farmer.c.group_id, sqlite_where=_GROUPED, postgresql_where=_GROUPED)

farmer_phone = Table(
    "farmer_phone",
    metadata,
    Column("farmer_id", RowId, ForeignKey("farmer.id"), primary_key=True),
    Column("phone_id", RowId, ForeignKey("phone.id"), primary_key=True),
    Column("role", Text, nullable=False),
    Column("preferred", Boolean, nullable=False),
    Column("since", Instant, nullable=False),
    Column("until", Instant),
)
Index("ix_farmer_phone_phone_id", farmer_phone.c.phone_id)

# Append-only: what was asked, in which words, and what was answered.
consent = Table(
    "consent",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("phone_id", RowId, ForeignKey("phone.id"), nullable=False),
    Column("farmer_id", RowId, ForeignKey("farmer.id")),
    Column("purpose", Text, nullable=False),
    Column("answer", Text, nullable=False),
    Column("way", Text, nullable=False),
    Column("text_id", Text),
    Column("text_shown", Text),
    Column("inbound_id", RowId),
    Column("officer_id", RowId),
    Column("at", Instant, nullable=False),
    Column("on_day", Date, nullable=False),
)
Index("ix_consent_phone_id", consent.c.phone_id)
Index("ix_consent_farmer_id", consent.c.farmer_id)
_STOPPED = text("answer = 'stopped'")
Index("ix_consent_stopped", consent.c.on_day, sqlite_where=_STOPPED, postgresql_where=_STOPPED)
