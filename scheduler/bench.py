"""How fast a day is planned, as a ratio to a floor timed in the same run.

The floor is what no planner on the same disk can beat by much: the very rows the plan makes, handed ready-made
to executemany on an empty copy of the table with the same indexes, in one transaction with full durability.
Seconds depend on the machine; the ratio hardly does.
"""

import platform
import shutil
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from scheduler.sweep import plan_due
from service.agronomy.calendar import Calendar
from service.db.measuring import floor, forget_sweeps, made_rows, open_at, seed, sqlite_version

# A Wednesday, at one in the night where the farmers live.
NOW: Final = datetime(2026, 11, 24, 22, 0, tzinfo=UTC)
RUNS: Final = 5
_MEBIBYTE: Final = 1024


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
    seed(seeded, farmers, calendar.id, NOW)
    plans: list[float] = []
    floors: list[float] = []
    peak = 0.0
    rows, replay_rows, replay = 0, 0, 0.0
    for run in range(1, runs + 1):
        yield f"run {run} of {runs}"
        planned = folder / f"plan{run}.db"
        shutil.copy(seeded, planned)
        database = open_at(planned)
        watch = _MemoryWatch()
        began = time.perf_counter()
        rows = plan_due(database, calendar, NOW)
        plans.append(time.perf_counter() - began)
        peak = max(peak, watch.growth_mb())
        ready = made_rows(database)
        if run == runs:
            forget_sweeps(database)
            began = time.perf_counter()
            replay_rows = plan_due(database, calendar, NOW)
            replay = time.perf_counter() - began
        database.close()
        planned.unlink()
        floors.append(floor(folder / f"floor{run}.db", ready))
    seconds, floor_seconds = statistics.median(plans), statistics.median(floors)
    yield Figures(
        farmers=farmers,
        rows=rows,
        seconds=round(seconds, 4),
        floor_seconds=round(floor_seconds, 4),
        ratio=round(seconds / floor_seconds, 3),
        peak_mb=round(peak, 1),
        replay_rows=replay_rows,
        replay_seconds=round(replay, 4),
        runs=runs,
        seconds_min=round(min(plans), 4),
        seconds_max=round(max(plans), 4),
        python=platform.python_version(),
        sqlite=sqlite_version(),
    )


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
