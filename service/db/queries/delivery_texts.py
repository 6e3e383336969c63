"""The texts that tell farmers what became of their fruit: which wait, which have left, and what was heard last."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy import ColumnElement, Connection, and_, select

from service.core.collection_ports import DeliveryText
from service.core.kinds import NEVER_LEFT, MessageState
from service.db.queries.calling_off import call_off
from service.db.tables.outbox import message
from service.db.tables.people import farmer_phone

_KIND: Final = "delivery"
# What came is entered, corrected and texted within that.
_TOLD_WITHIN: Final = timedelta(days=60)
_TAKEN_BACK: Final = "back"


class DeliveryTexts:
    """Finds and calls off the texts of deliveries, each by the collection, day and farmer that its key names."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    @staticmethod
    def key(collection_id: int, day: date, farmer_id: int, delivery_id: int | None, turn: int) -> str:
        """Return the key of a text; `delivery_id` is None in one that says that something was taken back."""
        return f"{_KIND}:{collection_id}:{day}:{farmer_id}:{delivery_id or _TAKEN_BACK}:{turn}"

    def call_off(self, collection_id: int, day: date, farmer_id: int, why: str, at: datetime) -> None:
        """Let what waits for a farmer leave no more."""
        begins = f"{_KIND}:{collection_id}:{day}:{farmer_id}:"
        about = and_(self._of([farmer_id], day), message.c.idem_key.startswith(begins, autoescape=True))
        call_off(self._connection, about, why, at)

    def heard(self, collection_id: int, day: date, farmer_id: int) -> DeliveryText | None:
        """Return the last text that left, or may have left, None where a farmer has heard nothing."""
        return self._last(collection_id, day, [farmer_id], waiting=False).get(farmer_id)

    def last(self, collection_id: int, day: date, farmer_ids: Sequence[int]) -> dict[int, DeliveryText]:
        """Return by farmer the last text that has left or waits to leave."""
        return self._last(collection_id, day, farmer_ids, waiting=True)

    def _last(
        self, collection_id: int, day: date, farmer_ids: Sequence[int], *, waiting: bool
    ) -> dict[int, DeliveryText]:
        unwanted = NEVER_LEFT if waiting else (*NEVER_LEFT, MessageState.DUE)
        rows = self._connection.execute(
            select(
                message.c.farmer_id,
                message.c.idem_key,
                message.c.state,
                message.c.zone,
                message.c.not_before,
                message.c.doubts,
            )
            .where(self._of(farmer_ids, day))
            .order_by(message.c.queued_on, message.c.id)
        )
        found = {}
        for row in rows:
            _, of, on, _, told, _ = row.idem_key.split(":")
            left = row.state not in unwanted or (row.state == MessageState.DUE and row.doubts)
            if (of, on) == (str(collection_id), day.isoformat()) and left:
                found[row.farmer_id] = DeliveryText(
                    delivery_id=None if told == _TAKEN_BACK else int(told),
                    waits=row.state == MessageState.DUE,
                    not_before=row.not_before,
                    zone=row.zone,
                )
        return found

    @staticmethod
    def _of(farmer_ids: Sequence[int], day: date) -> ColumnElement[bool]:
        phones = select(farmer_phone.c.phone_id).where(farmer_phone.c.farmer_id.in_(farmer_ids))
        return and_(
            message.c.phone_id.in_(phones),
            message.c.queued_on.between(day, day + _TOLD_WITHIN),
            message.c.farmer_id.in_(farmer_ids),
            message.c.kind == _KIND,
        )
