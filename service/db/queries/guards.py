"""What the guards count: how often, and with what, a phone was answered."""

from datetime import datetime, timedelta

from sqlalchemy import Connection, bindparam, delete, func, select, update

from service.core.wire_ports import Replied
from service.db.tables.outbox import message
from service.db.tables.speech import inbound, reply_minute
from service.db.upsert import insert_new

# Answers may be put off by some minutes: those before are still counted then.
_KEPT = timedelta(hours=1)
# As many texts of ours as a machine could have in hand.
_NEWEST = 20
_ANSWERED = (Replied.COUNTED, Replied.UNPARSED)
# Asked of every text that comes in.
_STORED_SINCE = select(func.count()).where(
    inbound.c.phone_id == bindparam("phone_id"), inbound.c.stored_at >= bindparam("since")
)
_REPLIED_SINCE = select(func.count()).where(
    inbound.c.phone_id == bindparam("phone_id"),
    inbound.c.replied.in_(bindparam("what", expanding=True)),
    inbound.c.replied_at > bindparam("since"),
)
_MARK = (
    update(inbound)
    .where(inbound.c.id == bindparam("inbound_id"))
    .values(replied=bindparam("new_replied"), replied_at=bindparam("new_replied_at"))
)
_FORGET_MINUTES = delete(reply_minute).where(reply_minute.c.minute < bindparam("before"))
_TAKE = (
    update(reply_minute)
    .where(reply_minute.c.minute == bindparam("the_minute"), reply_minute.c.replies < bindparam("most"))
    .values(replies=reply_minute.c.replies + 1)
)


class Guards:
    """How often phones have been answered."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._begin_minute = insert_new(connection.dialect.name, reply_minute)

    def replied_since(self, phone_id: int, since: datetime, *what: Replied) -> int:
        """Return how many texts of a phone were answered so since an instant."""
        values = {"phone_id": phone_id, "what": list(what), "since": since}
        return int(self._connection.execute(_REPLIED_SINCE, values).scalar_one())

    def same_text_replied(self, phone_id: int, text_hash: bytes, since: datetime) -> int:
        """Return how often the same text of a phone was answered since an instant."""
        found = select(func.count()).where(
            inbound.c.phone_id == phone_id,
            inbound.c.text_hash == text_hash,
            inbound.c.replied.in_(_ANSWERED),
            inbound.c.replied_at > since,
        )
        return int(self._connection.execute(found).scalar_one())

    def said_to(self, phone_id: int, since: datetime) -> tuple[str, ...]:
        """Return the words of our newest texts to a phone since an instant."""
        found = (
            select(message.c.text)
            # The words of a farmer who was erased are gone: nothing is like them.
            .where(message.c.phone_id == phone_id, message.c.state_at >= since, message.c.text != "")
            .order_by(message.c.queued_on.desc(), message.c.id.desc())
            .limit(_NEWEST)
        )
        return tuple(self._connection.execute(found).scalars())

    def stored_since(self, phone_id: int, since: datetime) -> int:
        """Return how many texts of a phone have been stored since an instant."""
        values = {"phone_id": phone_id, "since": since}
        return int(self._connection.execute(_STORED_SINCE, values).scalar_one())

    def take_reply_slot(self, minute: datetime, most: int) -> bool:
        """Count one more answer in a minute; return False, counting nothing, where that minute is full."""
        if self._connection.execute(self._begin_minute, {"minute": minute, "replies": 0}).rowcount:
            self._connection.execute(_FORGET_MINUTES, {"before": minute - _KEPT})
        return self._connection.execute(_TAKE, {"the_minute": minute, "most": most}).rowcount == 1

    def mark_replied(self, inbound_id: int, what: Replied, at: datetime) -> None:
        """Keep what became of the answer to a text."""
        values = {"inbound_id": inbound_id, "new_replied": what, "new_replied_at": at}
        self._connection.execute(_MARK, values)
