"""Alerting: once a tick, all alerts that something is due for are moved on.

`advance_alerts` may be called at any moment and as often as one likes: what is done is not done again.
"""

from datetime import datetime
from typing import Final

from service.core.alert_states import RUNNING
from service.db.work import Database
from service.use_cases.alerts.advancing import CHUNK, advance
from service.use_cases.tools import Tools

# A short one: an alert is in a hurry itself.
_GIVES_WAY: Final = 0.01


def advance_alerts(database: Database, tools: Tools, now: datetime, *, chunk: int = CHUNK) -> int:
    """Move all running alerts on; return how many recipients got their message.

    A process that dies in between leaves whole chunks; the next tick writes the rest.
    """
    with database.look() as work:
        alerts = work.alerts.running(RUNNING)
    return sum(_advance(database, tools, alert_id, now, chunk) for alert_id in alerts)


def _advance(database: Database, tools: Tools, alert_id: int, now: datetime, chunk: int) -> int:
    written, more = 0, True
    while more:
        with database.work() as work:
            step = advance(work, tools, alert_id, now, chunk=chunk)
        written, more = written + step.written, step.more
        if more:
            database.give_way(_GIVES_WAY)
    return written
