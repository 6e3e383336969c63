"""Reminders that a changed calendar has overtaken: told before on another day, or of a job there is no more.

While a calendar stays as it is there are none. One that is changed moves days or leaves jobs out, for plots of which
some days lie behind and some ahead; what was sent is never sent again for that.
"""

from scheduler.compose import Reason
from service.agronomy.calendar import FLOWERS_OFF, FLOWERS_STAY
from service.core.model import Reminder
from service.db.queries.waiting import Waiting
from service.use_cases.tools import Tools


def why_overtaken(tools: Tools, reminder: Reminder, one: Waiting) -> Reason | None:
    """Return why a reminder is not to be texted any more; None if it still is."""
    key = reminder.key
    task = tools.calendar.for_bits(reminder.traits).by_id.get(key.task)
    if task is None:
        return Reason.NO_SUCH_JOB
    if task.is_told_once and one.told.get((key.plot_id, key.task, key.revision), -1) >= reminder.ordinal:
        return Reason.TOLD_BEFORE
    if key.task == FLOWERS_OFF and (key.plot_id, FLOWERS_STAY, key.revision) in one.told:
        return Reason.FLOWERS_STAY
    return None
