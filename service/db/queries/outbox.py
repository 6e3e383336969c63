"""The outbox: queueing, taking texts for sending, and what came of them."""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, func, insert, or_, select, true, update

from flows.states import State
from service.core.alert_states import AlertState
from service.core.kinds import CAPPED_KINDS, NEVER_LEFT, Kind, MessageState, Policy
from service.core.model import Candidate, Doubt, NewMessage
from service.db.queries.calling_off import CLOSED, call_off
from service.db.queries.receipts import in_turn
from service.db.sealing import Seal
from service.db.tables.alerts import alert
from service.db.tables.meta import only
from service.db.tables.outbox import attempt, message
from service.db.tables.people import phone, stop_list
from service.db.tables.speech import conversation
from service.db.upsert import insert_new

_CANDIDATES = (
    select(
        message,
        phone.c.sealed,
        stop_list.c.since.label("stopped_since"),
        conversation.c.state.label("talk_state"),
        conversation.c.expires_at.label("talk_until"),
        alert.c.state.label("alert_state"),
        alert.c.officer_id.label("officer_id"),
    )
    .join(phone, phone.c.id == message.c.phone_id)
    .outerjoin(stop_list, stop_list.c.number_index == phone.c.number_index)
    .outerjoin(conversation, conversation.c.phone_id == message.c.phone_id)
    .outerjoin(alert, alert.c.id == message.c.alert_id)
    .where(
        message.c.state == only(MessageState.DUE),
        message.c.priority == bindparam("priority"),
        message.c.not_before <= bindparam("now"),
    )
    .order_by(message.c.not_before, message.c.id)
    .limit(bindparam("most"))
    .with_for_update(skip_locked=True, of=message)
)
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
# A text whose alert was called off or has expired is not sent again: it stays in doubt, which is the truth of it.
_OVER = select(alert.c.id).where(alert.c.state.in_((AlertState.CALLED_OFF, AlertState.EXPIRED)))
_MAY_GO_ON = or_(message.c.alert_id.is_(None), message.c.alert_id.not_in(_OVER))
_OPEN_DOUBT = and_(message.c.state == only(MessageState.IN_DOUBT), _MAY_GO_ON, ~CLOSED)
_IN_DOUBT = select(message).where(_OPEN_DOUBT).order_by(message.c.state_at)
_FIRST_ATTEMPT = (
    select(attempt.c.reference)
    .where(attempt.c.message_day == bindparam("key_day"), attempt.c.message_id == bindparam("key_id"))
    .order_by(attempt.c.began_at, attempt.c.reference)
    .limit(1)
)
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


class Outbox:
    """Texts on their way out."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Ask on `connection`; `seal` reads numbers."""
        self._connection = connection
        self._seal = seal
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
        )

    def begin_attempt(
        self, key: tuple[date, int], number: int, reference: str, gateway: str, at: datetime
    ) -> str:
        """Keep that a try at sending begins, and let the text stand as submitting.

        Return the reference the network is given: that of the text's first try, so that a network that knows
        a reference again sends the text once.
        """
        first = self._connection.execute(_FIRST_ATTEMPT, {"key_day": key[0], "key_id": key[1]}).scalar()
        self.set_state(key, MessageState.SUBMITTING, at, more_tries=1)
        self._connection.execute(
            insert(attempt),
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

    def end_attempt(
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

    def doubt_all_submitting(self, at: datetime) -> int:
        """After a crash: what stands as submitting may have left or not. Return how many those are."""
        self._connection.execute(
            update(attempt).where(attempt.c.outcome.is_(None)).values(outcome="answer_lost", ended_at=at)
        )
        changed = self._connection.execute(
            update(message)
            .where(message.c.state == only(MessageState.SUBMITTING))
            .values(
                state=MessageState.IN_DOUBT,
                state_at=at,
                doubts=message.c.doubts + 1,
                why="stopped while sending",
            )
        )
        return changed.rowcount

    def in_doubt(self) -> tuple[Doubt, ...]:
        """Return all texts in doubt that may go again, the longest first."""
        rows = self._connection.execute(_IN_DOUBT)
        return tuple(
            Doubt(
                queued_on=row.queued_on,
                id=row.id,
                kind=row.kind,
                policy=Policy(row.policy),
                tries=row.tries,
                since=row.state_at,
                expires_at=row.expires_at,
            )
            for row in rows
        )

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
        rows = self._connection.execute(
            select(message.c.phone_id, message.c.queued_on).where(
                message.c.phone_id.in_(list(phone_ids)),
                message.c.queued_on > after,
                message.c.kind.in_(CAPPED_KINDS),
                message.c.state.not_in(NEVER_LEFT),
            )
        )
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
