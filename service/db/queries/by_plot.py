"""Finding reminders by their plot: those that wait for a text, those that do no more, or both.

Each has an index of its own (`service.db.tables.plots`), which an engine uses only where the statement says which of
the two it is about.
"""

from typing import Final

from sqlalchemy import ColumnElement, and_, or_

from service.core.model import ReminderState
from service.db.tables.meta import only
from service.db.tables.plots import reminder

WAITING: Final = reminder.c.state == only(ReminderState.DUE)
SETTLED: Final = reminder.c.state != only(ReminderState.DUE)


def either(of_plots: ColumnElement[bool]) -> ColumnElement[bool]:
    """Return the condition that a reminder is of some plots, whatever its state."""
    return or_(and_(of_plots, WAITING), and_(of_plots, SETTLED))
