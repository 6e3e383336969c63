"""Texts that came in: stored with their reference before they are acknowledged, read afterwards."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Unpack

from sqlalchemy import Connection, bindparam, insert, select, update

from service.core.columns import NewInbound
from service.core.model import Inbound, InboundState
from service.db.tables.meta import only
from service.db.tables.speech import inbound, inbound_seen
from service.db.upsert import insert_new

# A phone that floods us must not make each answer dearer than the last.
_UNREAD = (
    select(inbound)
    .where(inbound.c.state == only(InboundState.STORED))
    .order_by(inbound.c.id)
    .limit(bindparam("most"))
)
_ADD = insert(inbound)
_ONE = select(inbound).where(inbound.c.id == bindparam("inbound_id"))
_READ = (
    update(inbound)
    .where(inbound.c.id == bindparam("inbound_id"))
    .values(state=InboundState.READ, read_json=bindparam("new_read"), farmer_id=bindparam("new_farmer_id"))
)


class Inbox:
    """What phones have said."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._see = insert_new(connection.dialect.name, inbound_seen)

    def seen(self, gateway: str, ref: str, inbound_id: int, at: datetime) -> bool:
        """Mark a gateway's reference as seen; return whether it had been seen before."""
        values = {"gateway": gateway, "ref": ref, "inbound_id": inbound_id, "at": at}
        return self._connection.execute(self._see, values).rowcount == 0

    def add(self, **values: Unpack[NewInbound]) -> None:
        """Store a text that came in."""
        self._connection.execute(_ADD, values)

    def same_text_since(self, phone_id: int, text_hash: bytes, since: datetime) -> bool:
        """Return whether the same phone has sent the same text since then."""
        found = select(inbound.c.id).where(
            inbound.c.phone_id == phone_id, inbound.c.text_hash == text_hash, inbound.c.received_at >= since
        )
        return self._connection.execute(found.limit(1)).first() is not None

    def unread(self, most: int) -> tuple[Inbound, ...]:
        """Return the oldest texts not read yet."""
        return tuple(_inbound(row) for row in self._connection.execute(_UNREAD, {"most": most}))

    def get(self, inbound_id: int) -> Inbound | None:
        """Return one text, None if there is none."""
        row = self._connection.execute(_ONE, {"inbound_id": inbound_id}).first()
        return _inbound(row) if row else None

    def mark_read(self, inbound_id: int, read: Mapping[str, Any], farmer_id: int | None) -> None:
        """Keep what a text was read as, and why."""
        values = {"inbound_id": inbound_id, "new_read": dict(read), "new_farmer_id": farmer_id}
        self._connection.execute(_READ, values)

    def mark_tried(self, inbound_id: int, state: InboundState) -> None:
        """Count a try at reading that failed."""
        self._connection.execute(
            update(inbound).where(inbound.c.id == inbound_id).values(tries=inbound.c.tries + 1, state=state)
        )


def _inbound(row: Any) -> Inbound:
    return Inbound(
        id=row.id,
        phone_id=row.phone_id,
        gateway=row.gateway,
        text=row.text,
        received_at=row.received_at,
        tries=row.tries,
        text_hash=bytes(row.text_hash),
        incomplete=row.incomplete,
    )
