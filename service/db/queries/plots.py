"""Plots and the changes made to them."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Unpack

from sqlalchemy import Connection, Row, bindparam, exists, insert, select, update

from service.agronomy.traits import COLUMNS, told
from service.core.columns import NewPlot, PlotChange
from service.core.model import HarvestState, Plot
from service.db.tables.plots import harvest, plot, plot_change

_OF_FARMER = select(plot).where(plot.c.farmer_id == bindparam("farmer_id")).order_by(plot.c.id)
_ONE = select(plot).where(plot.c.id == bindparam("plot_id"))
_PLAIN = (date, datetime)
_WORDS = frozenset(COLUMNS.values())


class Plots:
    """What stands in the ground."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(self, **values: Unpack[NewPlot]) -> int:
        """Add a plot with the columns given and return its id."""
        columns = {**values, "traits": told(values).bits}
        added = self._connection.execute(insert(plot).values(columns).returning(plot.c.id))
        return int(added.scalar_one())

    def of_farmer(self, farmer_id: int) -> tuple[Plot, ...]:
        """Return a farmer's plots, the first first."""
        return tuple(as_plot(row) for row in self._connection.execute(_OF_FARMER, {"farmer_id": farmer_id}))

    def get(self, plot_id: int) -> Plot | None:
        """Return one plot, None if there is none."""
        row = self._connection.execute(_ONE, {"plot_id": plot_id}).first()
        return as_plot(row) if row else None

    def the(self, plot_id: int) -> Plot:
        """Return a plot that there must be, since something of ours points to it."""
        return as_plot(self._connection.execute(_ONE, {"plot_id": plot_id}).one())

    def set(self, plot_id: int, **values: Unpack[PlotChange]) -> None:
        """Set columns of a plot; its traits follow from the words that say what it is like."""
        columns: dict[str, object] = {**values}
        if not _WORDS.isdisjoint(columns):
            row = self._connection.execute(_ONE, {"plot_id": plot_id}).mappings().one()
            columns["traits"] = told({**row, **columns}).bits
        self._connection.execute(update(plot).where(plot.c.id == plot_id).values(columns))

    def set_live(self, farmer_id: int, *, live: bool) -> None:
        """Let a farmer's open plots be planned, or rest."""
        self._connection.execute(
            update(plot).where(plot.c.farmer_id == farmer_id, plot.c.closed_on.is_(None)).values(live=live)
        )

    def keep_change(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        plot_id: int,
        at: datetime,
        who: str,
        before: Mapping[str, object],
        after: Mapping[str, object],
    ) -> None:
        """Keep who changed what of a plot, and when."""
        self._connection.execute(
            insert(plot_change).values(
                id=id, plot_id=plot_id, at=at, who=who, before=_plain(before), after=_plain(after)
            )
        )

    def prompt_again(self, zone: str, since: date) -> int:
        """Prompt on all picking days again where no weight counts since a day; return how many plots that were.

        Where fruit is collected the collection's days are asked about, however steadily weights come.
        """
        recent = exists().where(
            harvest.c.plot_id == plot.c.id,
            harvest.c.picked_on >= since,
            harvest.c.state == HarvestState.COUNTED,
        )
        changed = self._connection.execute(
            update(plot)
            .where(
                plot.c.live,
                plot.c.prompt_days != plot.c.pick_days,
                plot.c.zone == zone,
                plot.c.collection_id.is_(None),
                ~recent,
            )
            .values(prompt_days=plot.c.pick_days)
        )
        return changed.rowcount


def as_plot(row: Row[Any]) -> Plot:
    """Return a row of the table plot as a value."""
    return Plot(**dict(zip(row._fields, row, strict=True)))


def _plain(values: Mapping[str, object]) -> dict[str, object]:
    return {name: value.isoformat() if isinstance(value, _PLAIN) else value for name, value in values.items()}
