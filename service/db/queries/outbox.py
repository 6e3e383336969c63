"""The outbox: queueing, where texts stand, what is asked of them, and calling off.

Texts are taken from it in `service.db.queries.claims`; those in doubt are found in `service.db.queries.doubts`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date, datetime

from sqlalchemy import Connection, and_, bindparam, func, select, true, update

from service.core.kinds import CAPPED_KINDS, NEVER_LEFT, Kind, MessageState
from service.core.model import Candidate, NewMessage
from service.db.queries.calling_off import call_off
from service.db.tables.outbox import attempt, message
from service.db.upsert import insert_new

_KEY = and_(message.c.queued_on == bindparam("key_day"), message.c.id == bindparam("key_id"))
_SET_STATE = (
    update(message)
    .where(_KEY)
    .values(
        state=bindparam("new_state"),
        why=bindparam("new_why"),
        state_at=bindparam("new_at"),
        not_before=func.coalesce(
            bindparam("new_not_before", type_=message.c.not_before.type), message.c.not_before
        ),
        tries=message.c.tries + bindparam("more_tries"),
        doubts=message.c.doubts + bindparam("more_doubts"),
    )
)
# As dataclasses.asdict, which would copy every value.
_NEW = tuple(field.name for field in fields(NewMessage))
# Locked where that is known: who asks is about to move the text, and a receipt may come at that moment.
_STATE_OF = select(message.c.state).where(_KEY).with_for_update()

_PUSHED_DAYS = select(message.c.phone_id, message.c.queued_on).where(
    message.c.phone_id.in_(bindparam("phone_ids", expanding=True)),
    message.c.queued_on > bindparam("after"),
    message.c.kind.in_(CAPPED_KINDS),
    message.c.state.not_in(NEVER_LEFT),
)


class Outbox:
    """Texts on their way out."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._queue = insert_new(connection.dialect.name, message)

    def queue(
        self, messages: Iterable[NewMessage], *, gateway: str, kinds: Mapping[str, Kind], at: datetime
    ) -> None:
        """Queue texts; one whose key is there already is left alone."""
        rows = [
            {
                **{name: getattr(new, name) for name in _NEW},
                "gateway": gateway,
                "priority": kinds[new.kind].priority,
                "policy": kinds[new.kind].policy,
                "state": MessageState.DUE,
                "state_at": at,
            }
            for new in messages
        ]
        if rows:
            self._connection.execute(self._queue, rows)

    def set_state(
        self,
        key: tuple[date, int],
        state: MessageState,
        at: datetime,
        *,
        why: str | None = None,
        not_before: datetime | None = None,
        more_tries: int = 0,
        more_doubts: int = 0,
    ) -> None:
        """Let a text stand in `state` since `at`."""
        self._connection.execute(
            _SET_STATE,
            {
                "key_day": key[0],
                "key_id": key[1],
                "new_state": state,
                "new_why": why,
                "new_at": at,
                "new_not_before": not_before,
                "more_tries": more_tries,
                "more_doubts": more_doubts,
            },
        )

    def state_of(self, key: tuple[date, int]) -> MessageState:
        """Return where a text stands, and let nobody else change that before this work ends."""
        found = self._connection.execute(_STATE_OF, {"key_day": key[0], "key_id": key[1]})
        return MessageState(found.scalar_one())

    def left_since(self, candidate: Candidate, kinds: tuple[str, ...], since: datetime) -> bool:
        """Return whether its phone was sent another text of these kinds since then."""
        others = (
            select(message.c.id)
            .join(
                attempt,
                and_(attempt.c.message_day == message.c.queued_on, attempt.c.message_id == message.c.id),
            )
            .where(
                message.c.phone_id == candidate.phone_id,
                message.c.kind.in_(kinds),
                message.c.id != candidate.id,
                message.c.state.not_in((*NEVER_LEFT, MessageState.DUE)),
                attempt.c.began_at >= since,
            )
        )
        return self._connection.execute(others.limit(1)).first() is not None

    def pushed_days(self, phone_ids: Iterable[int], after: date) -> dict[int, list[date]]:
        """Return for each phone the days after `after` on which it was pushed a text that the cap counts."""
        rows = self._connection.execute(_PUSHED_DAYS, {"phone_ids": list(phone_ids), "after": after})
        days: dict[int, list[date]] = {}
        for row in rows:
            days.setdefault(row.phone_id, []).append(row.queued_on)
        return days

    def cancel_pushed(
        self, phone_id: int, at: datetime, *, farmer_id: int | None = None, why: str = "the phone has stopped"
    ) -> None:
        """Cancel what waits to be pushed to a phone, or of that only what is for one farmer."""
        which = and_(
            message.c.phone_id == phone_id,
            true() if farmer_id is None else message.c.farmer_id == farmer_id,
            message.c.inbound_id.is_(None),
        )
        call_off(self._connection, which, why, at)
