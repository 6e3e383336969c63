"""How fast a day's reminders become texts: merged, worded, queued, held against the insert of the finished texts."""

from typing import Final

from scheduler.bench.ground import NIGHT, Ground
from scheduler.bench.report import Report
from scheduler.bench.timing import MemoryWatch, Stopwatch
from scheduler.merge import merge_due
from scheduler.sweep import plan_due
from service.db.measuring.floors import insert_floor, rows

_RATIO: Final = 4.0


def bench_merge(ground: Ground, farmers: int) -> Report:
    """Measure merging the first day of so many farmers, after it was planned.

    Figures:
        reminders: those that wait.
        texts: those that were made of them, in `seconds`; `floor_seconds` for the bare insert of the finished texts.
        ratio: the one by the other.
        texts_a_second: by the median.
        peak_mb: how far this process's memory rose at most while merging, in MiB.
    """
    report = Report("merge", ground.scratch, farmers=farmers, rounds=ground.rounds)
    watch = Stopwatch()
    with ground.seeded(farmers) as all_:
        reminders, texts, peak = 0, 0, 0.0
        for _ in ground.turns():
            with ground.scratch.copy(all_) as database:
                reminders = plan_due(database, ground.tools.calendar, NIGHT)
                memory = MemoryWatch()
                watch.time("merge", lambda: merge_due(database, ground.tools, NIGHT))
                peak = max(peak, memory.growth_mb())
                texts = rows(database, "messages")
                watch.add("floor", insert_floor(database, "messages"))
    report.put(reminders=reminders, texts=texts)
    report.put_seconds(watch, "merge")
    report.put_seconds(watch, "floor", "floor_")
    report.put_at_most("ratio", watch.median("merge") / watch.median("floor"), _RATIO)
    report.put(texts_a_second=round(texts / watch.median("merge")), peak_mb=round(peak, 1))
    return report.finish()
