"""Parts of long texts, held until all are there."""

from dataclasses import asdict
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, and_, bindparam, delete, func, select

from service.core.wire_ports import HeldPart, PartSet
from service.db.queries.receipts import in_turn
from service.db.tables.speech import inbound_part
from service.db.upsert import insert_new

_NAMES = (inbound_part.c.gateway, inbound_part.c.phone_id, inbound_part.c.part_ref, inbound_part.c.total)
_OVERDUE = select(*_NAMES).group_by(*_NAMES).having(func.min(inbound_part.c.stored_at) <= bindparam("before"))


class Parts:
    """What has come of texts that are not whole yet."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._hold = insert_new(connection.dialect.name, inbound_part)

    def hold(self, part: HeldPart) -> bool:
        """Hold a part; return whether its place was free."""
        return self._connection.execute(self._hold, asdict(part)).rowcount == 1

    def held(self, one: PartSet) -> tuple[HeldPart, ...]:
        """Return the parts held of one text, the first that came first; nobody else adds to them meanwhile."""
        in_turn(self._connection, f"parts {one.gateway} {one.phone_id} {one.part_ref} {one.total}")
        rows = self._connection.execute(
            select(inbound_part).where(_is(one)).order_by(inbound_part.c.stored_at, inbound_part.c.number)
        )
        return tuple(HeldPart(**row) for row in rows.mappings())

    def let_go(self, one: PartSet) -> None:
        """Forget the parts of one text."""
        self._connection.execute(delete(inbound_part).where(_is(one)))

    def overdue(self, before: datetime) -> tuple[PartSet, ...]:
        """Return the texts whose first part came before an instant."""
        rows = self._connection.execute(_OVERDUE, {"before": before})
        return tuple(PartSet(**row) for row in rows.mappings())


def _is(one: PartSet) -> ColumnElement[bool]:
    return and_(
        inbound_part.c.gateway == one.gateway,
        inbound_part.c.phone_id == one.phone_id,
        inbound_part.c.part_ref == one.part_ref,
        inbound_part.c.total == one.total,
    )
