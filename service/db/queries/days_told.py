"""Of collection days gone by: how many were asked on the evening before, and what came."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from sqlalchemy import Connection, func, select

from service.agronomy.calendar import PICKING
from service.core.collecting import Collection
from service.db.queries.by_plot import SETTLED
from service.db.tables.collections import delivery
from service.db.tables.plots import plot, reminder

_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Came:
    """What came on a collection day, accepted or not, in grams, and from how many farmers."""

    grams: int
    farmers: int


class DaysTold:
    """What is known of collection days by those who were asked and by what was weighed."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def came(
        self, collections: Sequence[Collection], first: date, last: date
    ) -> dict[tuple[int, date], Came]:
        """Return by collection and day what came; nothing where nothing is entered."""
        rows = self._connection.execute(
            select(
                delivery.c.collection_id,
                delivery.c.day,
                func.sum(delivery.c.accepted_g + delivery.c.rejected_g).label("grams"),
                func.count().label("farmers"),
            )
            .where(
                delivery.c.collection_id.in_([one.id for one in collections]),
                delivery.c.day.between(first, last),
                delivery.c.voided_at.is_(None),
            )
            .group_by(delivery.c.collection_id, delivery.c.day)
        )
        return {(row.collection_id, row.day): Came(grams=int(row.grams), farmers=row.farmers) for row in rows}

    def asked(
        self, collections: Sequence[Collection], first: date, last: date
    ) -> dict[tuple[int, date], int]:
        """Return by collection and day how many farmers were texted about it on the evening before."""
        ons = {one.id: one for one in collections}
        rows = self._connection.execute(
            select(
                plot.c.collection_id,
                reminder.c.due_on,
                func.count(plot.c.farmer_id.distinct()).label("farmers"),
            )
            .join(reminder, reminder.c.plot_id == plot.c.id)
            .where(
                plot.c.collection_id.in_([one.id for one in collections]),
                SETTLED,
                reminder.c.task == PICKING,
                reminder.c.due_on.between(first - _DAY, last - _DAY),
                # A text of another day was about another collection, or about none.
                reminder.c.message_day == reminder.c.due_on,
            )
            .group_by(plot.c.collection_id, reminder.c.due_on)
        )
        # Before a collection led the plots their picking was asked after on other days.
        return {
            (row.collection_id, row.due_on + _DAY): row.farmers
            for row in rows
            if ons[row.collection_id].is_on(row.due_on + _DAY)
        }
