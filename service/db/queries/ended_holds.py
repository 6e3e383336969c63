"""Holds that end on a day: which farmers may pick again, and how they are texted."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from sqlalchemy import Connection, bindparam, exists, or_, select

from flows.facts import FarmerState
from service.db.queries.sprays import COUNTS
from service.db.queries.waiting import REACHED
from service.db.tables.people import farmer, farmer_phone
from service.db.tables.plots import plot
from service.db.tables.sprays import spray

_later, _of_farmer = spray.alias(), plot.alias()
# Fruit of none of a farmer's plots may be held back still: a text names no plot.
_STILL_HELD: Final = (
    exists()
    .where(
        _of_farmer.c.farmer_id == farmer.c.id,
        _later.c.plot_id == _of_farmer.c.id,
        _later.c.voided_at.is_(None),
        _later.c.sprayed_on <= bindparam("day"),
        _later.c.pick_from > bindparam("day"),
    )
    .correlate(farmer)
)
_ENDED: Final = (
    select(
        farmer.c.id.label("farmer_id"),
        farmer.c.name,
        farmer.c.language,
        farmer.c.text_hour,
        farmer_phone.c.phone_id,
        plot.c.planted_on,
        plot.c.picking_early,
        spray.c.sprayed_on,
    )
    .select_from(spray)
    .join(plot, plot.c.id == spray.c.plot_id)
    .join(farmer, farmer.c.id == plot.c.farmer_id)
    .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
    .where(
        spray.c.pick_from == bindparam("day"),
        COUNTS,
        plot.c.live,
        plot.c.zone == bindparam("zone"),
        plot.c.calendar_id == bindparam("calendar_id"),
        farmer.c.state == FarmerState.ACTIVE,
        or_(farmer.c.paused_until.is_(None), farmer.c.paused_until <= bindparam("now")),
        REACHED,
        ~_STILL_HELD,
    )
    .order_by(farmer.c.id, spray.c.sprayed_on)
)


@dataclass(frozen=True, kw_only=True, slots=True)
class EndedHold:
    """A hold on one plot that ends on the day asked about, and nothing holds the farmer's fruit back any more."""

    farmer_id: int
    name: str
    language: str
    text_hour: int
    phone_id: int
    planted_on: date
    picking_early: bool
    sprayed_on: date


class EndedHolds:
    """Finds who may pick again."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def on(self, zone: str, calendar_id: str, day: date, now: datetime) -> tuple[EndedHold, ...]:
        """Return the holds that end on a day, of farmers who are texted now; by farmer, the latest spray last."""
        values = {"zone": zone, "calendar_id": calendar_id, "day": day, "now": now}
        return tuple(EndedHold(**row) for row in self._connection.execute(_ENDED, values).mappings())
