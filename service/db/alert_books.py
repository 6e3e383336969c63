"""What the books say of an alert's texts, one by one, for whoever compares them with a network's own journal."""

from dataclasses import dataclass

from sqlalchemy import and_, select

from service.core.kinds import MessageState
from service.db.tables.outbox import attempt, message
from service.db.work import Database


@dataclass(frozen=True, kw_only=True, slots=True)
class Booked:
    """One text of an alert.

    Attributes:
        references: of all tries at it; the network knows it by one of them.
        state: where it stands.
        doubts: how often nobody knew whether it had left.
    """

    references: frozenset[str]
    state: MessageState
    doubts: int


def books_of(database: Database, alert_id: int) -> tuple[Booked, ...]:
    """Return all texts of an alert in the order they were made."""
    tries = and_(attempt.c.message_day == message.c.queued_on, attempt.c.message_id == message.c.id)
    wanted = (
        select(message.c.id, message.c.state, message.c.doubts, attempt.c.reference)
        .outerjoin(attempt, tries)
        .where(message.c.alert_id == alert_id)
        .order_by(message.c.id)
    )
    known: dict[int, set[str]] = {}
    stands: dict[int, tuple[str, int]] = {}
    with database.engine.connect() as connection:
        for row in connection.execute(wanted):
            known.setdefault(row.id, set()).update(filter(None, (row.reference,)))
            stands[row.id] = (row.state, row.doubts)
    return tuple(
        Booked(references=frozenset(known[id_]), state=MessageState(state), doubts=doubts)
        for id_, (state, doubts) in stands.items()
    )
