"""Officers, how they sign in, and the few settings that live in the database."""

from sqlalchemy import Column, ForeignKey, Index, LargeBinary, Table, Text

from service.db.tables.meta import Instant, Json, RowId, metadata

officer = Table(
    "officer",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("added_at", Instant, nullable=False),
    Column("role", Text, nullable=False, server_default="officer"),
    Column("language", Text, nullable=False, server_default="en"),
    Column("password_hash", Text),
    # The secret of the second factor, sealed like a phone number; the counter last used may not be used again.
    Column("second_factor", LargeBinary),
    Column("second_factor_used", RowId),
    # A new secret that its owner has not confirmed yet; until then the one before holds.
    Column("second_factor_next", LargeBinary),
    Column("disabled_at", Instant),
)

# Which districts an officer sees and may send to; an administrator sees all without a row here.
officer_district = Table(
    "officer_district",
    metadata,
    Column("officer_id", RowId, ForeignKey("officer.id"), primary_key=True),
    Column("district_id", RowId, ForeignKey("district.id"), primary_key=True),
)

officer_phone = Table(
    "officer_phone",
    metadata,
    Column("officer_id", RowId, ForeignKey("officer.id"), primary_key=True),
    Column("phone_id", RowId, ForeignKey("phone.id"), primary_key=True),
)

# Where an officer has signed in from before, as keyed digests of browser and network: enough to know a place again, and
# nothing to read out of a copy of the database.
officer_place = Table(
    "officer_place",
    metadata,
    Column("officer_id", RowId, ForeignKey("officer.id"), primary_key=True),
    Column("digest", LargeBinary, primary_key=True),
    Column("first_at", Instant, nullable=False),
)
Index("ix_officer_place_first_at", officer_place.c.first_at)

# Codes for the day the second factor is lost; one use each, only digests are kept.
recovery_code = Table(
    "recovery_code",
    metadata,
    Column("digest", LargeBinary, primary_key=True),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("used_at", Instant),
)

# Append-only; each row carries the digest of the one before, so that a gap or a change shows.
audit = Table(
    "audit",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("at", Instant, nullable=False),
    Column("officer_id", RowId),
    Column("action", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("detail", Json, nullable=False),
    Column("before", LargeBinary, nullable=False),
    Column("digest", LargeBinary, nullable=False, unique=True),
)

# Only a digest is kept: whoever reads the database cannot sign in with it.
login_code = Table(
    "login_code",
    metadata,
    Column("digest", LargeBinary, primary_key=True),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("used_at", Instant),
)

login_attempt = Table(
    "login_attempt",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("address", Text, nullable=False, index=True),
    # A digest of the name that was typed; none where a one-time code was.
    Column("account", Text, index=True),
    Column("at", Instant, nullable=False),
    Column("ok", Text, nullable=False),
)

session = Table(
    "session",
    metadata,
    Column("digest", LargeBinary, primary_key=True),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("csrf", Text, nullable=False),
    Column("began_at", Instant, nullable=False),
    Column("seen_at", Instant, nullable=False),
    Column("address", Text, nullable=False),
    Column("browser", Text, nullable=False),
)

# What somebody typed when their session had ended, sealed: it may hold a farmer's number. One form an officer.
kept_form = Table(
    "kept_form",
    metadata,
    Column("officer_id", RowId, ForeignKey("officer.id"), primary_key=True, autoincrement=False),
    Column("kept_at", Instant, nullable=False),
    Column("sealed", LargeBinary, nullable=False),
)

setting = Table(
    "setting",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", Text, nullable=False),
)
