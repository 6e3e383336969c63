"""Plots of a district and what was picked from them, in sets: what forecasts are made of.

What a collection weighed counts for a plot where its farmer told no weight: told is all that was picked, weighed is what
came of it, so the two are never added up.
"""

from collections.abc import Sequence
from datetime import date, timedelta

from sqlalchemy import Connection, bindparam, func, or_, select

from service.core.forecast_ports import FieldPlot
from service.core.model import HarvestState
from service.db.tables.collections import delivery
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
_newer = plot.alias("newer")
_own = plot.alias("own")
# A basket names no plot: it is put down to the farmer's newest.
_BROUGHT = (
    select(
        plot.c.id,
        plot.c.farmer_id,
        delivery.c.day,
        func.sum(delivery.c.accepted_g + delivery.c.rejected_g).label("grams"),
    )
    .join(delivery, delivery.c.farmer_id == plot.c.farmer_id)
    .where(
        plot.c.id.in_(bindparam("plot_ids", expanding=True)),
        delivery.c.day >= bindparam("since"),
        delivery.c.day < bindparam("until"),
        delivery.c.voided_at.is_(None),
        ~select(_newer.c.id)
        .where(
            _newer.c.farmer_id == plot.c.farmer_id,
            _newer.c.live,
            or_(
                _newer.c.planted_on > plot.c.planted_on,
                (_newer.c.planted_on == plot.c.planted_on) & (_newer.c.id > plot.c.id),
            ),
        )
        .exists(),
    )
    .group_by(plot.c.id, plot.c.farmer_id, delivery.c.day)
    .order_by(plot.c.id, delivery.c.day)
)
_TOLD_DAYS = (
    select(_own.c.farmer_id, harvest.c.picked_on)
    .join(harvest, harvest.c.plot_id == _own.c.id)
    .where(
        _own.c.farmer_id.in_(bindparam("farmer_ids", expanding=True)),
        harvest.c.picked_on >= bindparam("since"),
        harvest.c.picked_on < bindparam("until"),
        harvest.c.state == HarvestState.COUNTED,
        harvest.c.grams > 0,
    )
    .distinct()
)
_DAY = timedelta(days=1)


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
        found: dict[tuple[int, date], int] = {}
        told = self._connection.execute(_PICKED, asked).all()
        for plot_id, on, grams in (*told, *self.brought(plot_ids, since, until)):
            found[plot_id, on] = found.get((plot_id, on), 0) + grams
        return [(plot_id, on, grams) for (plot_id, on), grams in sorted(found.items())]

    def brought(self, plot_ids: Sequence[int], since: date, until: date) -> list[tuple[int, date, int]]:
        """Return plot, day and grams that collections weighed, accepted or not, where the farmer told no weight.

        It was picked on the day itself or the evening before: a weight told of either stands for it.
        """
        asked = {"plot_ids": list(plot_ids), "since": since, "until": until}
        came = self._connection.execute(_BROUGHT, asked).all()
        farmers = sorted({row.farmer_id for row in came})
        days = {"farmer_ids": farmers, "since": since - _DAY, "until": until}
        told = {(one, on) for one, on in self._connection.execute(_TOLD_DAYS, days)} if farmers else set()
        return [
            (row.id, row.day, int(row.grams))
            for row in came
            if not {(row.farmer_id, row.day), (row.farmer_id, row.day - _DAY)} & told
        ]
