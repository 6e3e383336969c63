"""What the worker does beside the pages, in a process of its own: a day planned and merged, an alert, and again."""

from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from itertools import count
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Final

from scheduler.alerting import advance_alerts
from scheduler.bench.alert import confirm_alert, draft_alert, make_officer
from scheduler.bench.ground import MORNING, NIGHT, tools_of
from scheduler.merge import merge_due
from scheduler.sweep import plan_due
from service.core.alerts import AS_SHIPPED
from service.db.work import Database
from service.keys import open_or_make
from service.settings import Settings

_READY: Final = "ready"


@contextmanager
def work_beside(settings: Settings, address: str) -> Iterator[Counter[str]]:
    """Plan, merge and alert in the database at `address` meanwhile.

    What is yielded is filled at the end: how many reminders, texts of a day and texts of alerts were made.
    """
    # Not a fork: connections to a database do not bear being copied.
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_work, args=(theirs, settings, address), daemon=True)
    process.start()
    theirs.close()
    ours.recv()
    done: Counter[str] = Counter()
    try:
        yield done
    finally:
        ours.send(None)
        done.update(ours.recv())
        process.join()


def _work(orders: Connection, settings: Settings, address: str) -> None:
    seal, _ = open_or_make(settings.keys)
    tools = tools_of(settings)
    done: Counter[str] = Counter()
    with closing(Database(address, seal)) as database:
        officer = make_officer(database)
        orders.send(_READY)
        for day in count():
            night, morning = NIGHT + timedelta(days=day), MORNING + timedelta(days=day)
            done["reminders"] += plan_due(database, tools.calendar, night)
            done["texts"] += merge_due(database, tools, night)
            alert = draft_alert(tools, database, officer, f"day {day}", morning)
            confirm_alert(tools, database, officer, alert, morning)
            done["alerted"] += advance_alerts(database, tools, morning + AS_SHIPPED.wait)
            if orders.poll():
                break
    orders.send(dict(done))
