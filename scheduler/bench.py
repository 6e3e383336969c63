"""How fast a day is planned, as a ratio to a floor timed in the same run.

The floor is what no planner on the same disk can beat by much: the very rows the plan makes, handed ready-made
to executemany on an empty copy of the table with the same indexes, in one transaction with full durability.
Seconds depend on the machine; the ratio hardly does.
"""

import platform
import shutil
import sqlite3
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Final

from sqlalchemy import insert, select, text
from sqlalchemy.schema import CreateIndex, CreateTable

from scheduler.sweep import plan_due
from service import ids
from service.agronomy.calendar import END, Calendar
from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.tables.people import district, farmer
from service.db.tables.plots import plot, reminder, sweep
from service.db.work import Database
from service.use_cases.planting import default_days

ZONE: Final = "Africa/Dar_es_Salaam"
# A Wednesday, at one in the night there.
NOW: Final = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)
TODAY: Final = date(2026, 11, 25)
RUNS: Final = 5
_BATCH: Final = 20_000
_STEP: Final = 7919
_MEBIBYTE: Final = 1024
_INSERT: Final = "INSERT INTO reminder (due_on, task, plot_id, revision, ordinal) VALUES (?, ?, ?, ?, ?)"


@dataclass(frozen=True, kw_only=True, slots=True)
class Figures:
    """What was measured.

    Attributes:
        farmers: how many there were, one plot each, planted over the last three years.
        rows: reminders made for the day.
        seconds: median time of `plan_due`.
        floor_seconds: median time of the floor.
        ratio: the one by the other.
        peak_mb: how far the process's memory rose at most while planning, in MiB.
        replay_rows: reminders made by planning the same day again; 0 or something is wrong.
        replay_seconds: how long that took.
        runs: how often each was timed, in turn.
        seconds_min, seconds_max: the range of `seconds`.
        python, sqlite: versions.
    """

    farmers: int
    rows: int
    seconds: float
    floor_seconds: float
    ratio: float
    peak_mb: float
    replay_rows: int
    replay_seconds: float
    runs: int
    seconds_min: float
    seconds_max: float
    python: str
    sqlite: str


def bench_plan(
    farmers: int, calendar: Calendar, folder: Path, *, runs: int = RUNS
) -> Iterator[str | Figures]:
    """Measure planning one day for so many farmers, on files in `folder`; yield progress, then the figures."""
    seeded = folder / "seeded.db"
    yield f"making {farmers:,} farmers"
    _seed(seeded, farmers, calendar)
    plans: list[float] = []
    floors: list[float] = []
    peak = 0.0
    rows, replay_rows, replay = 0, 0, 0.0
    for run in range(1, runs + 1):
        yield f"run {run} of {runs}"
        planned = folder / f"plan{run}.db"
        shutil.copy(seeded, planned)
        database = _open(planned)
        watch = _MemoryWatch()
        began = time.perf_counter()
        rows = plan_due(database, calendar, NOW)
        plans.append(time.perf_counter() - began)
        peak = max(peak, watch.growth_mb())
        ready = _rows_of(database)
        if run == runs:
            replay_rows, replay = _replay(database, calendar)
        database.close()
        planned.unlink()
        floors.append(_floor(folder / f"floor{run}.db", ready))
    seconds, floor = statistics.median(plans), statistics.median(floors)
    yield Figures(
        farmers=farmers,
        rows=rows,
        seconds=round(seconds, 4),
        floor_seconds=round(floor, 4),
        ratio=round(seconds / floor, 3),
        peak_mb=round(peak, 1),
        replay_rows=replay_rows,
        replay_seconds=round(replay, 4),
        runs=runs,
        seconds_min=round(min(plans), 4),
        seconds_max=round(max(plans), 4),
        python=platform.python_version(),
        sqlite=sqlite3.sqlite_version,
    )


def _open(path: Path) -> Database:
    return Database(f"sqlite:///{path}", Seal(sealing_key=ids.key(), index_key=ids.key()))


def _seed(path: Path, farmers: int, calendar: Calendar) -> None:
    database = _open(path)
    migrate(database.engine)
    with database.engine.connect() as connection:
        connection.execute(insert(district), [{"id": 1, "name": "Zaruvi", "zone": ZONE}])
        for first in range(1, farmers + 1, _BATCH):
            numbers = range(first, min(first + _BATCH, farmers + 1))
            connection.execute(insert(farmer), [_farmer(number) for number in numbers])
            connection.execute(insert(plot), [_plot(number, calendar) for number in numbers])
        connection.commit()
    # Closing the last connection writes the log back into the file, so that it can be copied.
    database.close()


def _farmer(number: int) -> dict[str, object]:
    return {
        "id": number,
        "name": f"Farmer {number}",
        "language": "sw",
        "district_id": 1,
        "state": "active",
        "added_at": NOW,
    }


def _plot(number: int, calendar: Calendar) -> dict[str, object]:
    """Spread planting dates evenly over three years and text days over the week, in no order of either."""
    spread = number * _STEP
    return {
        "farmer_id": number,
        "planted_on": TODAY - timedelta(days=spread % END),
        "precision": "exact",
        "plants": 400,
        "zone": ZONE,
        "calendar_id": calendar.id,
        "live": True,
        **default_days(TODAY + timedelta(days=spread // END % 7)),
    }


def _rows_of(database: Database) -> list[tuple[str, str, int, int, int]]:
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


def _replay(database: Database, calendar: Calendar) -> tuple[int, float]:
    with database.engine.connect() as connection:
        connection.execute(sweep.delete())
        connection.commit()
    began = time.perf_counter()
    made = plan_due(database, calendar, NOW)
    return made, time.perf_counter() - began


def _floor(path: Path, rows: list[tuple[str, str, int, int, int]]) -> float:
    """Time executemany of ready rows into an empty table with the same indexes."""
    database = _open(path)
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


class _MemoryWatch:
    """Watches how far this process's resident memory rises, on Linux; elsewhere it sees nothing."""

    def __init__(self) -> None:
        """Forget earlier peaks and remember where memory stands."""
        self._before = 0
        if _STATUS.exists():
            _RESET.write_text("5", encoding="ascii")
            self._before = _status("VmRSS")

    def growth_mb(self) -> float:
        """Return the rise since then, in MiB."""
        return (_status("VmHWM") - self._before) / _MEBIBYTE if _STATUS.exists() else 0.0


_STATUS: Final = Path("/proc/self/status")
_RESET: Final = Path("/proc/self/clear_refs")


def _status(name: str) -> int:
    lines = _STATUS.read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(f"{name}:"))
