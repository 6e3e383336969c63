"""How fast a day is planned, held against the bare inserts of the very rows that the plan makes."""

import statistics
import time
from datetime import timedelta
from typing import Final

from scheduler.bench.ground import NIGHT, Ground
from scheduler.bench.report import Report
from scheduler.bench.timing import MemoryWatch, Stopwatch
from scheduler.sweep import plan_due
from service.db.measuring.floors import insert_floor
from service.db.measuring.scratch import POSTGRESQL
from service.db.measuring.seeding import forget_sweeps, settle
from service.db.work import Database

# The floors differ: PostgreSQL's stands inside the server, see `service.db.measuring.floors`.
_RATIO: Final = {"sqlite": 1.2, POSTGRESQL: 1.6}
_REPLAY: Final = 1.0
_TENFOLD: Final = 12.0
_GROWTH_MB: Final = 32.0
_LATER: Final = 1.5
# The days from the 22nd on fall on the same weekdays as the first ones.
_THREE_WEEKS: Final = 21
_DAYS: Final = 5


def bench_plan(ground: Ground, farmers: int) -> Report:
    """Measure planning one day for so many farmers.

    Figures:
        rows: reminders made for the day, in `seconds`; `floor_seconds` for their bare inserts.
        ratio: the one by the other.
        replay_rows, replay_seconds, replay_ratio: the same day planned again, by the same floor.
        tenth_seconds, tenfold_ratio: a tenth of the farmers, and how much longer all of them take.
        peak_mb: how far this process's memory rose at most while planning, in MiB.
        later_ratio: the time for a row on days 22 to 26, by that on days 1 to 5, all planned on end and
            settled each night, as merging does.
    """
    report = Report("plan", ground.scratch, farmers=farmers, rounds=ground.rounds)
    watch = Stopwatch()
    with ground.seeded(farmers) as all_, ground.seeded(max(1, farmers // 10)) as tenth:
        rows, replayed, peak = 0, 0, 0.0
        for _ in ground.turns():
            with ground.scratch.copy(tenth) as database:
                watch.time("tenth", lambda: _plan(ground, database))
            with ground.scratch.copy(all_) as database:
                memory = MemoryWatch()
                rows = watch.time("plan", lambda: _plan(ground, database))
                peak = max(peak, memory.growth_mb())
                watch.add("floor", insert_floor(database, "reminders"))
                forget_sweeps(database)
                replayed += watch.time("replay", lambda: _plan(ground, database))
        ground.say(f"planning {_THREE_WEEKS + _DAYS} days on end")
        with ground.scratch.copy(all_) as database:
            later = _later_ratio(ground, database)
    report.put(rows=rows)
    report.put_seconds(watch, "plan")
    report.put_seconds(watch, "floor", "floor_")
    report.put_at_most("ratio", watch.median("plan") / watch.median("floor"), _RATIO[ground.scratch.engine])
    report.put_at_most("replay_rows", replayed, 0)
    report.put_seconds(watch, "replay", "replay_")
    report.put_at_most("replay_ratio", watch.median("replay") / watch.median("floor"), _REPLAY)
    report.put_seconds(watch, "tenth", "tenth_")
    report.put_at_most("tenfold_ratio", watch.median("plan") / watch.median("tenth"), _TENFOLD)
    report.put_at_most("peak_mb", peak, _GROWTH_MB)
    report.put_at_most("later_ratio", later, _LATER)
    return report.finish()


def _plan(ground: Ground, database: Database, day: int = 0) -> int:
    return plan_due(database, ground.tools.calendar, NIGHT + timedelta(days=day))


def _later_ratio(ground: Ground, database: Database) -> float:
    a_row: list[float] = []
    for day in range(_THREE_WEEKS + _DAYS):
        began = time.perf_counter()
        rows = _plan(ground, database, day)
        a_row.append((time.perf_counter() - began) / max(1, rows))
        settle(database)
    return statistics.median(a_row[_THREE_WEEKS:]) / statistics.median(a_row[:_DAYS])
