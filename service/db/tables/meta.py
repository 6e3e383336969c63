"""The metadata, its naming convention and the column types both engines share."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    ColumnElement,
    DateTime,
    Dialect,
    Integer,
    MetaData,
    Text,
    TypeDecorator,
    literal_column,
)
from sqlalchemy.dialects.postgresql import JSONB

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# SQLite makes a row id only for a column whose type is exactly INTEGER.
RowId = BigInteger().with_variant(Integer(), "sqlite")
Json = JSON().with_variant(JSONB(), "postgresql")


def only(word: str) -> ColumnElement[str]:
    """Return a word as it stands in the condition of a partial index.

    Written into the statement rather than bound: SQLite uses a partial index only when it can read in the statement
    that the index's condition holds.
    """
    return literal_column(f"'{word}'", Text)


class Instant(TypeDecorator[datetime]):
    """An instant in UTC. SQLite keeps no zone, so it is stored as naive UTC there and made aware when read."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a naive instant: it would mean another moment on another machine."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("an instant needs a zone")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: Any, _dialect: Dialect) -> datetime | None:
        """Return an aware instant."""
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
