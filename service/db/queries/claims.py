"""Taking texts from the outbox: which may be tried, that a try begins, and what came of it."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, exists, insert, literal, select, union_all, update

from flows.facts import FarmerState
from flows.states import State
from service.core.alert_states import AlertState
from service.core.kinds import PRIORITIES, MessageState
from service.core.model import Candidate
from service.db.queries.receipts import in_turn
from service.db.sealing import Seal
from service.db.tables.alerts import alert
from service.db.tables.meta import only
from service.db.tables.outbox import attempt, message
from service.db.tables.people import farmer, phone, stop_list
from service.db.tables.speech import conversation

_CANDIDATES = (
    select(
        message,
        phone.c.sealed,
        stop_list.c.since.label("stopped_since"),
        conversation.c.state.label("talk_state"),
        conversation.c.expires_at.label("talk_until"),
        alert.c.state.label("alert_state"),
        alert.c.officer_id.label("officer_id"),
        farmer.c.state.label("farmer_state"),
    )
    .join(phone, phone.c.id == message.c.phone_id)
    .outerjoin(stop_list, stop_list.c.number_index == phone.c.number_index)
    .outerjoin(conversation, conversation.c.phone_id == message.c.phone_id)
    .outerjoin(alert, alert.c.id == message.c.alert_id)
    .outerjoin(farmer, farmer.c.id == message.c.farmer_id)
    .where(
        message.c.state == only(MessageState.DUE),
        message.c.priority == bindparam("priority"),
        message.c.not_before <= bindparam("now"),
    )
    .order_by(message.c.not_before, message.c.id)
    .limit(bindparam("most"))
    .with_for_update(skip_locked=True, of=message)
)
# A look for each: to sort what all of them hold would take as long as a whole alert's queue is.
_WAITING = union_all(
    *(
        select(literal(priority).label("priority")).where(
            exists().where(
                message.c.state == only(MessageState.DUE),
                message.c.priority == priority,
                message.c.not_before <= bindparam("now"),
            )
        )
        for priority in PRIORITIES
    )
)
_FIRST_ATTEMPT = (
    select(attempt.c.reference)
    .where(attempt.c.message_day == bindparam("key_day"), attempt.c.message_id == bindparam("key_id"))
    .order_by(attempt.c.began_at, attempt.c.reference)
    .limit(1)
)
_BEGIN = insert(attempt)
_END_ATTEMPT = (
    update(attempt)
    .where(attempt.c.reference == bindparam("key_reference"))
    .values(
        ended_at=bindparam("new_ended_at"),
        outcome=bindparam("new_outcome"),
        code=bindparam("new_code"),
        gateway_ref=bindparam("new_gateway_ref"),
    )
)


class Claims:
    """Texts taken for sending, and the tries at them."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Ask on `connection`; `seal` reads numbers."""
        self._connection = connection
        self._seal = seal

    def waiting(self, now: datetime) -> tuple[int, ...]:
        """Return the priorities of texts whose time has come, the most urgent first."""
        return tuple(sorted(self._connection.execute(_WAITING, {"now": now}).scalars()))

    def candidates(self, now: datetime, priority: int, most: int) -> tuple[Candidate, ...]:
        """Return texts of one priority whose time has come, the longest waiting first, and lock them."""
        values = {"now": now, "priority": priority, "most": most}
        return tuple(self._candidate(row, now) for row in self._connection.execute(_CANDIDATES, values))

    def _candidate(self, row: Row[Any], now: datetime) -> Candidate:
        choosing = row.talk_state == State.STOP_OR_UNDO and row.talk_until > now
        return Candidate(
            queued_on=row.queued_on,
            id=row.id,
            kind=row.kind,
            phone_id=row.phone_id,
            farmer_id=row.farmer_id,
            destination=self._seal.open(row.sealed),
            text=row.text,
            zone=row.zone,
            tries=row.tries,
            doubts=row.doubts,
            expires_at=row.expires_at,
            stopped=row.stopped_since is not None,
            choosing_stop=choosing,
            opens=row.opens,
            alert_open_until=row.talk_until if row.talk_state == State.ALERT else None,
            alert_id=row.alert_id,
            alert_state=AlertState(row.alert_state) if row.alert_state else None,
            officer_id=row.officer_id,
            parts=row.parts,
            farmer_stopped=row.farmer_state == FarmerState.STOPPED,
        )

    def begin(self, key: tuple[date, int], number: int, reference: str, gateway: str, at: datetime) -> str:
        """Keep that a try at sending begins.

        Return the reference the network is given: that of the text's first try, so that a network that knows
        a reference again sends the text once.
        """
        first = self._connection.execute(_FIRST_ATTEMPT, {"key_day": key[0], "key_id": key[1]}).scalar()
        self._connection.execute(
            _BEGIN,
            {
                "reference": reference,
                "message_day": key[0],
                "message_id": key[1],
                "number": number,
                "began_at": at,
                "gateway": gateway,
            },
        )
        return first or reference

    def end(
        self,
        reference: str,
        outcome: str,
        at: datetime,
        *,
        code: str | None = None,
        gateway_ref: str | None = None,
    ) -> None:
        """Keep what came of a try."""
        if gateway_ref is not None:
            in_turn(self._connection, gateway_ref)
        self._connection.execute(
            _END_ATTEMPT,
            {
                "key_reference": reference,
                "new_ended_at": at,
                "new_outcome": outcome,
                "new_code": code,
                "new_gateway_ref": gateway_ref,
            },
        )
