"""INSERT ... ON CONFLICT for both engines, from one place.

The statements are made once: they never change, and making one takes longer than it takes the database to carry it out.
"""

from collections.abc import Callable
from functools import cache
from typing import Any

from sqlalchemy import Table
from sqlalchemy.dialects import postgresql, sqlite

_INSERTS: dict[str, Callable[[Table], Any]] = {"sqlite": sqlite.insert, "postgresql": postgresql.insert}

Insert = sqlite.Insert | postgresql.Insert


def insert(dialect: str, table: Table) -> Insert:
    """Return the dialect's own INSERT, which knows ON CONFLICT and tells how many rows are new."""
    # Unless told to, SQLAlchemy lets go of an INSERT's row count, and PostgreSQL's driver then answers -1.
    made: Insert = _INSERTS[dialect](table).execution_options(preserve_rowcount=True)
    return made


@cache
def insert_new(dialect: str, table: Table) -> Insert:
    """Return an INSERT that leaves rows alone which are there already."""
    return insert(dialect, table).on_conflict_do_nothing()


@cache
def insert_or_update(dialect: str, table: Table, keys: tuple[str, ...]) -> Insert:
    """Return an INSERT that replaces all other columns of a row with the same `keys`."""
    statement = insert(dialect, table)
    others = {
        column.name: statement.excluded[column.name] for column in table.columns if column.name not in keys
    }
    return statement.on_conflict_do_update(index_elements=keys, set_=others)
