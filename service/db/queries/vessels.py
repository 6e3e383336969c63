"""What farmers pick into."""

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from sqlalchemy import Connection, bindparam, select

from flows.vessels import Vessel
from service.db.tables.vessels import vessel as told
from service.db.upsert import insert_or_update

_OF_FARMER: Final = select(told.c.kind, told.c.grams).where(told.c.farmer_id == bindparam("farmer_id"))


class VesselsTold:
    """What farmers' own containers hold."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def of_farmer(self, farmer_id: int) -> Mapping[Vessel, int]:
        """Return what a farmer's containers hold of fruit, in grams, by kind."""
        rows = self._connection.execute(_OF_FARMER, {"farmer_id": farmer_id})
        return {Vessel(row.kind): row.grams for row in rows}

    def keep(self, farmer_id: int, vessel: Vessel, grams: int, at: datetime) -> None:
        """Keep what one holds, in place of what was told before."""
        new = insert_or_update(self._connection.dialect.name, told, "farmer_id", "kind")
        self._connection.execute(
            new.values({"farmer_id": farmer_id, "kind": vessel.value, "grams": grams, "at": at})
        )
