"""Receipts: kept as they come, given to their text, and parked while that is not known."""

from datetime import date, datetime

from sqlalchemy import Connection, and_, bindparam, delete, func, or_, select, update

from service.core.gateway import Progress, Stage
from service.core.wire_ports import Told
from service.db.tables.outbox import attempt, message, receipt
from service.db.upsert import insert_new

# PostgreSQL would let an answer and its early receipt pass each other unseen, each too new for the other to
# read. Whoever comes second waits here for the first. SQLite has one writer at a time.
_IN_TURN = select(func.pg_advisory_xact_lock(func.hashtextextended(bindparam("gateway_ref"), 0)))
_OWNER = (
    select(attempt.c.message_day, attempt.c.message_id)
    .where(
        attempt.c.gateway == bindparam("gateway"),
        or_(attempt.c.gateway_ref == bindparam("gateway_ref"), attempt.c.reference == bindparam("our_ref")),
    )
    .limit(1)
)
_PARKED = (
    update(receipt)
    .where(
        receipt.c.gateway == bindparam("the_gateway"),
        receipt.c.gateway_ref == bindparam("the_gateway_ref"),
        receipt.c.message_id.is_(None),
    )
    .values(message_day=bindparam("new_day"), message_id=bindparam("new_id"))
    .returning(receipt.c.stage, receipt.c.part)
)

_LET_GO = delete(receipt).where(receipt.c.message_id.is_(None), receipt.c.stored_at < bindparam("before"))


def in_turn(connection: Connection, gateway_ref: str) -> None:
    """Wait until nobody else is about to tie a network's reference to a text."""
    if connection.dialect.name == "postgresql":
        connection.execute(_IN_TURN, {"gateway_ref": gateway_ref})


class Receipts:
    """What networks have said of texts."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._keep = insert_new(connection.dialect.name, receipt)

    def keep(self, gateway: str, event: Progress, stored_at: datetime) -> tuple[date, int] | None:
        """Keep a receipt and return its text; None if it was kept before or must wait for its text."""
        in_turn(self._connection, event.gateway_ref)
        owner = self._owner(gateway, event)
        kept = self._connection.execute(
            self._keep,
            {
                "gateway": gateway,
                "event_id": event.event_id,
                "gateway_ref": event.gateway_ref,
                "our_ref": event.our_ref,
                "part": event.part,
                "stage": event.stage,
                "code": event.code,
                "final": event.final,
                "at": event.at,
                "stored_at": stored_at,
                "message_day": owner[0] if owner else None,
                "message_id": owner[1] if owner else None,
            },
        )
        return owner if kept.rowcount else None

    def _owner(self, gateway: str, event: Progress) -> tuple[date, int] | None:
        """Find the text a receipt speaks of: only among those that went out through the same gateway."""
        values = {"gateway": gateway, "gateway_ref": event.gateway_ref, "our_ref": event.our_ref or ""}
        row = self._connection.execute(_OWNER, values).first()
        return (row.message_day, row.message_id) if row else None

    def parked(self, gateway: str, gateway_ref: str, key: tuple[date, int]) -> tuple[Told, ...]:
        """Give receipts that came before their text's answer to that text; return what they tell."""
        values = {
            "the_gateway": gateway,
            "the_gateway_ref": gateway_ref,
            "new_day": key[0],
            "new_id": key[1],
        }
        rows = self._connection.execute(_PARKED, values)
        return tuple(Told(stage=Stage(row.stage), part=row.part) for row in rows)

    def all_parts_delivered(self, key: tuple[date, int]) -> bool:
        """Return whether every part of a text is known to have been delivered."""
        mine = and_(receipt.c.message_day == key[0], receipt.c.message_id == key[1])
        delivered = select(func.count(receipt.c.part.distinct())).where(
            mine, receipt.c.stage == Stage.DELIVERED
        )
        parts = select(message.c.parts).where(message.c.queued_on == key[0], message.c.id == key[1])
        found = self._connection.execute(delivered).scalar_one()
        return int(found) >= int(self._connection.execute(parts).scalar_one())

    def let_go(self, before: datetime) -> int:
        """Forget receipts parked since before an instant; return how many those were."""
        return self._connection.execute(_LET_GO, {"before": before}).rowcount
