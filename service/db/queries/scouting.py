"""Keeps what farmers have seen on their plants, and reads it by village."""

from datetime import date
from typing import Final, Unpack

from sqlalchemy import Connection, Row, bindparam, delete, insert, select

from flows.effects import Finding
from service.core.columns import NewScout
from service.core.scouting_ports import Look, Village
from service.db.tables.people import farmer, village
from service.db.tables.plots import done_report, plot, scout_report

SCOUT: Final = "scout"

_HOME: Final = (
    select(village.c.id, village.c.name, village.c.district_id)
    .join(farmer, farmer.c.village_id == village.c.id)
    .join(plot, plot.c.farmer_id == farmer.c.id)
    .where(plot.c.id == bindparam("plot_id"))
)
_EACH: Final = select(plot.c.farmer_id, scout_report.c.seen_on, scout_report.c.finding).join(
    plot, plot.c.id == scout_report.c.plot_id
)
# Ids rise with time.
_LOOKS: Final = _EACH.where(
    scout_report.c.village_id == bindparam("village_id"), scout_report.c.seen_on >= bindparam("since")
).order_by(scout_report.c.id)
_OF_PLOT: Final = (
    _EACH.where(scout_report.c.plot_id == bindparam("plot_id"))
    .order_by(scout_report.c.id.desc())
    .limit(bindparam("limit"))
)


class Scouting:
    """Reads and keeps looks; see `service.core.scouting_ports`."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(self, **values: Unpack[NewScout]) -> Village | None:
        """Keep a look with the village of its farmer, and return that; None where nobody told it."""
        row = self._connection.execute(_HOME, {"plot_id": values["plot_id"]}).mappings().one_or_none()
        home = None if row is None else Village(**row)
        new = insert(scout_report).values(**values, village_id=home.id if home else None)
        self._connection.execute(new)
        return home

    def take_back(self, report_id: int) -> tuple[Village, ...]:
        """Forget what was seen with a job that is no longer done; return the villages it was seen in.

        What was seen is told in the text that says the job is done, or in one after it.
        """
        said_in = select(done_report.c.inbound_id).where(done_report.c.id == report_id).scalar_subquery()
        looked_at = select(done_report.c.plot_id).where(
            done_report.c.inbound_id == said_in, done_report.c.task == SCOUT
        )
        gone = self._connection.execute(
            delete(scout_report)
            .where(scout_report.c.plot_id.in_(looked_at), scout_report.c.inbound_id >= said_in)
            .returning(scout_report.c.village_id)
        ).scalars()
        homes = select(village.c.id, village.c.name, village.c.district_id).where(
            village.c.id.in_({one for one in gone if one is not None})
        )
        return tuple(Village(**row) for row in self._connection.execute(homes).mappings())

    def looks(self, village_id: int, since: date) -> tuple[Look, ...]:
        """Return what was seen in a village from a day on, in the order it was told."""
        asked = {"village_id": village_id, "since": since}
        return tuple(_look(row) for row in self._connection.execute(_LOOKS, asked))

    def of_plot(self, plot_id: int, limit: int) -> tuple[Look, ...]:
        """Return what was seen on a plot, the latest look first."""
        asked = {"plot_id": plot_id, "limit": limit}
        return tuple(_look(row) for row in self._connection.execute(_OF_PLOT, asked))


def _look(row: Row[int, date, str]) -> Look:
    return Look(farmer_id=row.farmer_id, seen_on=row.seen_on, finding=Finding(row.finding))
