"""Farmers whom an officer has added and who have not answered yet."""

from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, Select, func, select

from flows.facts import FarmerState
from service.core.inviting import Invited
from service.db.tables.meta import only
from service.db.tables.people import consent, district, farmer, farmer_group, farmer_phone, village

_ASKED: Final = (
    select(func.count())
    .where(consent.c.farmer_id == farmer.c.id, consent.c.answer == "asked")
    .scalar_subquery()
)


def _pending() -> Select[Any]:
    return (
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
        return self._all(_pending().where(farmer.c.added_at <= instant, _ASKED == 1))

    def pending_on(self, phone_id: int) -> tuple[Invited, ...]:
        """Return who is pending on a phone because an officer added them."""
        return self._all(_pending().where(farmer_phone.c.phone_id == phone_id))

    def lies_in(self, district_id: int, *, village_id: int | None, group_id: int | None) -> bool:
        """Return whether village and group, where given, lie in the district."""
        for table, wanted in ((village, village_id), (farmer_group, group_id)):
            found = select(table.c.id).where(table.c.id == wanted, table.c.district_id == district_id)
            if wanted is not None and self._connection.execute(found).first() is None:
                return False
        return True

    def _all(self, statement: Select[Any]) -> tuple[Invited, ...]:
        return tuple(Invited(**row) for row in self._connection.execute(statement).mappings())
