"""Whether a database is whole, and whether it is opened so that a commit outlasts a power cut."""

from collections.abc import Mapping
from typing import Final

from sqlalchemy import Engine
from sqlalchemy.exc import DatabaseError

# What the database must say for a commit to be one: SQLite's documentation of its PRAGMAs (synchronous 2 is FULL),
# PostgreSQL's chapter "Reliability and the Write-Ahead Log".
_DURABLE: Final[Mapping[str, tuple[str, Mapping[str, str]]]] = {
    "sqlite": ("PRAGMA {}", {"journal_mode": "wal", "synchronous": "2"}),
    "postgresql": ("SHOW {}", {"fsync": "on", "synchronous_commit": "on", "full_page_writes": "on"}),
}


def damage(engine: Engine) -> str | None:
    """Return what is broken in a database, in a sentence; None if it is whole.

    SQLite is read through once, about a second for each gigabyte; PostgreSQL looks after its own pages.
    """
    if engine.dialect.name != "sqlite":
        return None
    try:
        with engine.connect() as connection:
            said = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar_one()
    except DatabaseError as error:
        said = str(error.orig)
    return (
        None if said == "ok" else f"The database {engine.url.database} is damaged ({' '.join(said.split())})."
    )


def not_durable(engine: Engine) -> tuple[str, ...]:
    """Return what keeps a commit of this database from outlasting a power cut, as NAME=VALUE; nothing if it does."""
    ask, wanted = _DURABLE[engine.dialect.name]
    with engine.connect() as connection:
        found = {name: str(connection.exec_driver_sql(ask.format(name)).scalar_one()) for name in wanted}
    return tuple(f"{name}={value}" for name, value in found.items() if value not in _enough(wanted[name]))


def _enough(value: str) -> tuple[str, ...]:
    # synchronous_commit may also wait for standbys, which is more than "on".
    return (value, "remote_apply", "remote_write") if value == "on" else (value, "3")
