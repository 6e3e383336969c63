"""Plots of a district and what was picked from them, in sets: what forecasts are made of."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy import Connection, bindparam, func, select

from service.core.forecast_ports import FieldPlot
from service.core.model import HarvestState
from service.db.tables.people import district, farmer
from service.db.tables.plots import harvest, plot

_PLOTS = (
    select(
        plot.c.id,
        plot.c.planted_on,
        plot.c.plants,
        func.coalesce(plot.c.elevation_m, district.c.elevation_m).label("elevation_m"),
    )
    .select_from(farmer)
    .join(plot, plot.c.farmer_id == farmer.c.id)
    .join(district, district.c.id == farmer.c.district_id)
    .where(
        farmer.c.district_id == bindparam("district_id"),
        plot.c.live,
        plot.c.planted_on.between(bindparam("planted_since"), bindparam("planted_until")),
    )
    .order_by(plot.c.id)
)
_PICKED = (
    select(harvest.c.plot_id, harvest.c.picked_on, func.sum(harvest.c.grams))
    .where(
        harvest.c.plot_id.in_(bindparam("plot_ids", expanding=True)),
        harvest.c.picked_on >= bindparam("since"),
        harvest.c.picked_on < bindparam("until"),
        harvest.c.state == HarvestState.COUNTED,
    )
    .group_by(harvest.c.plot_id, harvest.c.picked_on)
    .order_by(harvest.c.plot_id, harvest.c.picked_on)
)


class Fields:
    """Reads plots with their weights; see `service.core.forecast_ports`."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def plots(self, district_id: int, planted_since: date, planted_until: date) -> tuple[FieldPlot, ...]:
        """Return the live plots of a district that were planted in these days, both included, by their ids."""
        asked = {
            "district_id": district_id,
            "planted_since": planted_since,
            "planted_until": planted_until,
        }
        return tuple(
            FieldPlot(id=row.id, planted_on=row.planted_on, plants=row.plants, elevation_m=row.elevation_m)
            for row in self._connection.execute(_PLOTS, asked)
        )

    def picked(self, plot_ids: Sequence[int], since: date, until: date) -> list[tuple[int, date, int]]:
        """Return plot, day and grams that count, by plot and day; `until` is not included."""
        asked = {"plot_ids": list(plot_ids), "since": since, "until": until}
        return [(plot_id, on, grams) for plot_id, on, grams in self._connection.execute(_PICKED, asked).all()]
