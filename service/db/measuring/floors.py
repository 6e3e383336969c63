"""Floors: what no way of making the same rows in the same database can beat by much.

The rows are those that stand in a table already, handed over ready-made to an empty twin of it, with the same indexes
and no foreign keys, in one transaction with full durability. On SQLite they come from the program (executemany)
or, for a set-based floor, from another file; on PostgreSQL always from a table beside.
"""

import sqlite3
import time
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Table, func, select, text
from sqlalchemy.schema import CreateIndex, CreateTable

from service.db.measuring.scratch import POSTGRESQL
from service.db.tables.alerts import alert_recipient
from service.db.tables.outbox import message
from service.db.tables.plots import reminder
from service.db.tables.speech import inbound
from service.db.work import Database

# What each made row is made of; the other columns of a reminder are left at their defaults.
TABLES: Final = {
    "reminders": (reminder, ("due_on", "task", "plot_id", "revision", "ordinal")),
    "messages": (message, tuple(message.c.keys())),
    "recipients": (alert_recipient, tuple(alert_recipient.c.keys())),
    "inbound": (inbound, tuple(inbound.c.keys())),
}


def rows(database: Database, name: str) -> int:
    """Return how many rows stand in a table, by its name in `TABLES`."""
    with database.engine.connect() as connection:
        return int(connection.execute(select(func.count()).select_from(TABLES[name][0])).scalar_one())


def insert_floor(database: Database, name: str) -> float:
    """Return the seconds that the bare insert of the rows of a table takes.

    SQLite: executemany from the program. PostgreSQL: INSERT ... SELECT ... ON CONFLICT DO NOTHING from a table beside,
    which is faster than any insert from a program.
    """
    table, columns = TABLES[name]
    if database.engine.dialect.name == POSTGRESQL:
        return _beside(database, table, columns)
    twin = _twin(database, table)
    with closing(twin), closing(sqlite3.connect(_file(database))) as source:
        names = ", ".join(columns)
        ready = source.execute(f"SELECT {names} FROM {table.name} ORDER BY rowid").fetchall()  # noqa: S608 - our names
        places = ", ".join("?" * len(columns))
        began = time.perf_counter()
        twin.execute("BEGIN IMMEDIATE")
        twin.executemany(f"INSERT INTO {table.name} ({names}) VALUES ({places})", ready)  # noqa: S608 - our names
        twin.execute("COMMIT")
        return time.perf_counter() - began


def select_floor(database: Database, name: str) -> float:
    """Return the seconds that INSERT ... SELECT of the rows of a table takes, on either engine."""
    table, columns = TABLES[name]
    if database.engine.dialect.name == POSTGRESQL:
        return _beside(database, table, columns)
    names = ", ".join(columns)
    with closing(_twin(database, table)) as twin:
        twin.execute("ATTACH DATABASE ? AS ready", (_file(database),))
        began = time.perf_counter()
        twin.execute("BEGIN IMMEDIATE")
        twin.execute(
            f"INSERT INTO main.{table.name} ({names}) SELECT {names} FROM ready.{table.name} "  # noqa: S608 - our names
            "WHERE true ORDER BY rowid ON CONFLICT DO NOTHING"
        )
        twin.execute("COMMIT")
        return time.perf_counter() - began


def _file(database: Database) -> str:
    return str(database.engine.url.database)


def _twin(database: Database, table: Table) -> sqlite3.Connection:
    """Open a new file beside the database's own with an empty twin of the table; whoever drops the one drops both."""
    path = Path(f"{_file(database)}-floor")
    path.unlink(missing_ok=True)
    twin = sqlite3.connect(path, isolation_level=None)
    twin.execute("PRAGMA journal_mode=WAL")
    twin.execute("PRAGMA synchronous=FULL")
    dialect = database.engine.dialect
    twin.execute(str(CreateTable(table).compile(dialect=dialect)))
    for index in sorted(table.indexes, key=lambda one: str(one.name)):
        twin.execute(str(CreateIndex(index).compile(dialect=dialect)))
    return twin


def _beside(database: Database, table: Table, columns: Sequence[str]) -> float:
    names = ", ".join(columns)
    with database.engine.connect() as connection:
        _say(
            connection,
            f"CREATE UNLOGGED TABLE bench_ready AS SELECT {names} FROM {table.name} ORDER BY ctid",  # noqa: S608 - our names
            f"CREATE TABLE bench_twin (LIKE {table.name} INCLUDING ALL)",
        )
        began = time.perf_counter()
        _say(
            connection,
            f"INSERT INTO bench_twin ({names}) SELECT {names} FROM bench_ready ON CONFLICT DO NOTHING",  # noqa: S608 - our names
        )
        seconds = time.perf_counter() - began
        _say(connection, "DROP TABLE bench_ready, bench_twin")
    return seconds


def _say(connection: Connection, *statements: str) -> None:
    for statement in statements:
        connection.execute(text(statement))
    connection.commit()
