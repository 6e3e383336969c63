"""Officers, how they sign in, and the few settings that live in the database."""

from sqlalchemy import Column, ForeignKey, LargeBinary, Table, Text

from service.db.tables.meta import Instant, RowId, metadata

officer = Table(
    "officer",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("added_at", Instant, nullable=False),
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
)

setting = Table(
    "setting",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", Text, nullable=False),
)
