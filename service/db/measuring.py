"""What measuring needs of the database: many made-up plots, and the floor that planning is held against."""

import sqlite3
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy import insert, select, text
from sqlalchemy.schema import CreateIndex, CreateTable

from service import ids
from service.agronomy.calendar import END
from service.clock import local_day
from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.tables.people import district, farmer
from service.db.tables.plots import plot, reminder, sweep
from service.db.work import Database
from service.use_cases.planting import default_days

ZONE: Final = "Africa/Dar_es_Salaam"
_BATCH: Final = 20_000
# A prime far from any length of a season or week, so that neighbours in the table are none in the calendar.
_STEP: Final = 7919
_INSERT: Final = "INSERT INTO reminder (due_on, task, plot_id, revision, ordinal) VALUES (?, ?, ?, ?, ?)"


def sqlite_version() -> str:
    """Return the version of the SQLite library in use."""
    return sqlite3.sqlite_version


def open_at(path: Path) -> Database:
    """Open a SQLite file, with keys that are thrown away."""
    return Database(f"sqlite:///{path}", Seal(sealing_key=ids.key(), index_key=ids.key()))


def seed(path: Path, farmers: int, calendar_id: str, now: datetime) -> None:
    """Make a file with so many farmers, one plot each, planted evenly over three years."""
    database = open_at(path)
    migrate(database.engine)
    with database.engine.connect() as connection:
        connection.execute(insert(district), [{"id": 1, "name": "Zaruvi", "zone": ZONE}])
        for first in range(1, farmers + 1, _BATCH):
            numbers = range(first, min(first + _BATCH, farmers + 1))
            connection.execute(insert(farmer), [_farmer(number, now) for number in numbers])
            connection.execute(insert(plot), [_plot(number, calendar_id, now) for number in numbers])
        connection.commit()
    # Closing the last connection writes the log back into the file, so that it can be copied.
    database.close()


def _farmer(number: int, now: datetime) -> dict[str, object]:
    return {
        "id": number,
        "name": f"Farmer {number}",
        "language": "sw",
        "district_id": 1,
        "state": "active",
        "added_at": now,
    }


def _plot(number: int, calendar_id: str, now: datetime) -> dict[str, object]:
    """Spread planting dates evenly over three years and text days over the week, in no order of either."""
    spread = number * _STEP
    today = local_day(now, ZONE)
    return {
        "farmer_id": number,
        "planted_on": today - timedelta(days=spread % END),
        "precision": "exact",
        "plants": 400,
        "zone": ZONE,
        "calendar_id": calendar_id,
        "live": True,
        **default_days(today + timedelta(days=spread // END % 7)),
    }


def made_rows(database: Database) -> list[tuple[str, str, int, int, int]]:
    """Return the day's rows as SQLite keeps them, in the order in which they were made."""
    columns = (
        reminder.c.due_on,
        reminder.c.task,
        reminder.c.plot_id,
        reminder.c.revision,
        reminder.c.ordinal,
    )
    with database.engine.connect() as connection:
        found = connection.execute(select(*columns).order_by(text("rowid")))
        return [(day.isoformat(), *rest) for day, *rest in found]


def forget_sweeps(database: Database) -> None:
    """Forget that any day was planned; the reminders stay."""
    with database.engine.connect() as connection:
        connection.execute(sweep.delete())
        connection.commit()


def floor(path: Path, rows: list[tuple[str, str, int, int, int]]) -> float:
    """Time executemany of ready rows into an empty table with the same indexes."""
    database = open_at(path)
    with database.engine.connect() as connection:
        connection.execute(CreateTable(reminder))
        for index in sorted(reminder.indexes, key=lambda one: str(one.name)):
            connection.execute(CreateIndex(index))
        connection.commit()
    database.close()
    raw = sqlite3.connect(path, isolation_level=None)
    raw.execute("PRAGMA journal_mode=WAL")
    raw.execute("PRAGMA synchronous=FULL")
    began = time.perf_counter()
    raw.execute("BEGIN IMMEDIATE")
    raw.executemany(_INSERT, rows)
    raw.execute("COMMIT")
    seconds = time.perf_counter() - began
    raw.close()
    path.unlink()
    return seconds
