"""What is asked of a plot's past before it is edited."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import Connection, and_, func, or_, select

from service.db.queries.by_plot import SETTLED, WAITING
from service.db.queries.unsent import UNSENT
from service.db.tables.plots import plot_change, reminder


class Editing:
    """Reads a plot's reminders and corrections."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def waiting(self, plot_id: int) -> tuple[tuple[date, str], ...]:
        """Return day and task of the reminders that wait for their text, or that text for its hour, by day."""
        found = (
            select(reminder.c.due_on, reminder.c.task)
            .where(
                or_(and_(reminder.c.plot_id == plot_id, WAITING), and_(reminder.c.plot_id == plot_id, UNSENT))
            )
            .order_by(reminder.c.due_on, reminder.c.task)
        )
        return tuple((row.due_on, row.task) for row in self._connection.execute(found))

    def texted(self, plot_id: int) -> int:
        """Return how many reminders were texted, or are in a text that is not about this plot alone."""
        found = select(func.count()).where(
            reminder.c.plot_id == plot_id, SETTLED, reminder.c.message_id.is_not(None), ~UNSENT
        )
        return self._connection.execute(found).scalar_one()

    def last_texted(self, plot_id: int) -> Mapping[str, date]:
        """Return for each task the day on which it was texted last."""
        found = (
            select(reminder.c.task, func.max(reminder.c.message_day).label("day"))
            .where(reminder.c.plot_id == plot_id, SETTLED, reminder.c.message_day.is_not(None), ~UNSENT)
            .group_by(reminder.c.task)
        )
        return {row.task: row.day for row in self._connection.execute(found)}

    def last_correction(self, plot_id: int) -> tuple[Mapping[str, Any], Mapping[str, Any]] | None:
        """Return what the last correction changed by which jobs moved: before and after."""
        found = (
            select(plot_change.c.before, plot_change.c.after)
            .where(plot_change.c.plot_id == plot_id)
            .order_by(plot_change.c.at.desc(), plot_change.c.id.desc())
        )
        # Only where jobs moved the plot's revision rose.
        rows = (row for row in self._connection.execute(found) if "revision" in row.after)
        row = next(rows, None)
        return (row.before, row.after) if row else None
