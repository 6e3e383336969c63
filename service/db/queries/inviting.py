"""Farmers whom an officer has added and who have not answered yet."""

from datetime import datetime
from typing import Final

from sqlalchemy import Connection, bindparam, func, select

from flows.facts import FarmerState
from service.core.inviting import Invited
from service.db.tables.meta import only
from service.db.tables.people import consent, district, farmer, farmer_group, farmer_phone, village

_ASKED: Final = (
    select(func.count())
    .where(consent.c.farmer_id == farmer.c.id, consent.c.answer == "asked")
    .scalar_subquery()
)
_INVITED_ONCE: Final = (
    select(
        farmer.c.id.label("farmer_id"),
        farmer_phone.c.phone_id,
        farmer.c.name,
        farmer.c.language,
        district.c.zone,
    )
    .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
    .join(district, district.c.id == farmer.c.district_id)
    .where(
        farmer.c.state == only(FarmerState.PENDING),
        farmer.c.added_by.is_not(None),
        farmer_phone.c.until.is_(None),
        farmer.c.added_at <= bindparam("instant"),
        _ASKED == 1,
    )
    .order_by(farmer.c.id)
)


class Inviting:
    """Reads who waits for a yes."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def invited_once_before(self, instant: datetime) -> tuple[Invited, ...]:
        """Return who was asked through an officer before then, once, and is still pending."""
        found = self._connection.execute(_INVITED_ONCE, {"instant": instant})
        return tuple(Invited(**row) for row in found.mappings())

    def lies_in(self, district_id: int, *, village_id: int | None, group_id: int | None) -> bool:
        """Return whether village and group, where given, lie in the district."""
        for table, wanted in ((village, village_id), (farmer_group, group_id)):
            found = select(table.c.id).where(table.c.id == wanted, table.c.district_id == district_id)
            if wanted is not None and self._connection.execute(found).first() is None:
                return False
        return True
