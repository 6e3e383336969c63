"""Reads and keeps dangers."""

from collections.abc import Collection
from datetime import date
from typing import Any, Final, Unpack

from sqlalchemy import Connection, Row, Select, func, select, update

from flows.effects import Finding
from service.core.alert_states import AlertState
from service.core.danger_ports import Danger, DangerChange, DangerState, NewDanger
from service.db.queries.alerts import HAS_LEFT
from service.db.queries.scope import within
from service.db.tables.alerts import alert
from service.db.tables.dangers import danger
from service.db.tables.people import district, farmer, village
from service.db.tables.plots import plot
from service.db.tables.staff import officer
from service.db.upsert import insert_new

_DANGERS: Final[Select[Any]] = (
    select(
        danger.c.id,
        danger.c.district_id,
        district.c.name.label("district"),
        district.c.zone,
        danger.c.hazard,
        danger.c.day,
        danger.c.level,
        danger.c.figure,
        danger.c.metres_from,
        danger.c.reason,
        danger.c.state,
        danger.c.alert_id,
        alert.c.state.label("alert_state"),
        HAS_LEFT.label("told"),
        officer.c.name.label("settled_by"),
        danger.c.settled_at,
        danger.c.village_id,
        village.c.name.label("village"),
        danger.c.pest,
    )
    .select_from(danger)
    .join(district, district.c.id == danger.c.district_id)
    .outerjoin(village, village.c.id == danger.c.village_id)
    .outerjoin(alert, alert.c.id == danger.c.alert_id)
    .outerjoin(officer, officer.c.id == danger.c.settled_by)
)


class Dangers:
    """Reads and keeps dangers, and the heights at which plots lie."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def heights(self, district_id: int) -> tuple[int, int] | None:
        """Return the lowest and the highest of the live plots' heights, None if none is known."""
        # What an alert's audience is narrowed by: the plot's own height, else that of its district.
        height = func.coalesce(plot.c.elevation_m, district.c.elevation_m)
        found = (
            select(func.min(height), func.max(height))
            .select_from(farmer)
            .join(plot, plot.c.farmer_id == farmer.c.id)
            .join(district, district.c.id == farmer.c.district_id)
            .where(farmer.c.district_id == district_id, plot.c.live)
        )
        lowest, highest = self._connection.execute(found).one()
        return None if lowest is None else (lowest, highest)

    def from_day(self, districts: Collection[int] | None, first: date) -> tuple[Danger, ...]:
        """Return the dangers of these districts, None for all, from a day on, by day and gravity."""
        found = _DANGERS.where(within(districts, danger.c.district_id), danger.c.day >= first)
        ordered = found.order_by(danger.c.day, danger.c.level.desc(), district.c.name, danger.c.hazard)
        return tuple(_danger(row) for row in self._connection.execute(ordered))

    def find(self, danger_id: int) -> Danger | None:
        """Return one danger."""
        return self._one(_DANGERS.where(danger.c.id == danger_id))

    def of_alert(self, alert_id: int) -> Danger | None:
        """Return the danger that an alert was written for."""
        return self._one(_DANGERS.where(danger.c.alert_id == alert_id))

    def of_village(self, village_id: int, first: date) -> tuple[Danger, ...]:
        """Return what farmers of a village have seen that counts on a day or later."""
        found = _DANGERS.where(danger.c.village_id == village_id, danger.c.day >= first)
        return tuple(_danger(row) for row in self._connection.execute(found))

    def add(self, **values: Unpack[NewDanger]) -> None:
        """Add a danger unless the district has that hazard, or the village that pest, on that day already."""
        self._connection.execute(insert_new(self._connection.dialect.name, danger).values(**values))

    def change(self, danger_id: int, **values: Unpack[DangerChange]) -> None:
        """Change a danger."""
        self._connection.execute(update(danger).where(danger.c.id == danger_id).values(**values))

    def _one(self, found: Select[Any]) -> Danger | None:
        row = self._connection.execute(found).first()
        return _danger(row) if row else None


def _danger(row: Row[Any]) -> Danger:
    values = dict(row._mapping)  # noqa: SLF001 - public, underlined so that no column hides it
    alert_state = None if row.alert_state is None else AlertState(row.alert_state)
    pest = None if row.pest is None else Finding(row.pest)
    return Danger(**{**values, "state": DangerState(row.state), "alert_state": alert_state, "pest": pest})
