"""Receipts: what the network says of a text after it took it, and those that come before their text's answer."""

from datetime import date, datetime

from sqlalchemy import Connection, and_, bindparam, func, or_, select, update

from service.core.gateway import Progress
from service.db.tables.outbox import attempt, receipt
from service.db.upsert import insert_new

# PostgreSQL would let an answer and its early receipt pass each other unseen, each too new for the other to
# read. Whoever comes second waits here for the first. SQLite has one writer at a time.
_IN_TURN = select(func.pg_advisory_xact_lock(func.hashtextextended(bindparam("gateway_ref"), 0)))


def in_turn(connection: Connection, gateway_ref: str) -> None:
    """Have an answer and its receipt take turns, where they could pass each other."""
    if connection.dialect.name == "postgresql":
        connection.execute(_IN_TURN, {"gateway_ref": gateway_ref})


class Receipts:
    """What the network has said."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._keep_receipt = insert_new(connection.dialect.name, receipt)

    def keep_receipt(self, gateway: str, event: Progress, stored_at: datetime) -> tuple[date, int] | None:
        """Keep a receipt and return its text; None if it was kept before or must wait for its text."""
        in_turn(self._connection, event.gateway_ref)
        owner = self._owner(gateway, event)
        kept = self._connection.execute(
            self._keep_receipt,
            {
                "gateway": gateway,
                "event_id": event.event_id,
                "gateway_ref": event.gateway_ref,
                "our_ref": event.our_ref,
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
        known = or_(
            and_(attempt.c.gateway == gateway, attempt.c.gateway_ref == event.gateway_ref),
            attempt.c.reference == (event.our_ref or ""),
        )
        row = self._connection.execute(
            select(attempt.c.message_day, attempt.c.message_id).where(known).limit(1)
        ).first()
        return (row.message_day, row.message_id) if row else None

    def parked_stages(self, gateway: str, gateway_ref: str, key: tuple[date, int]) -> tuple[str, ...]:
        """Give receipts that came before their text's answer to that text; return the stages they tell."""
        rows = self._connection.execute(
            update(receipt)
            .where(
                receipt.c.gateway == gateway,
                receipt.c.gateway_ref == gateway_ref,
                receipt.c.message_id.is_(None),
            )
            .values(message_day=key[0], message_id=key[1])
            .returning(receipt.c.stage)
        )
        return tuple(row.stage for row in rows)
