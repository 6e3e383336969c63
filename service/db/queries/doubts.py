"""Texts in doubt: sent or not, nobody knows."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    Select,
    exists,
    false,
    func,
    or_,
    select,
    true,
    update,
)

from service.core.alert_states import AlertState
from service.core.doubt_ports import LEFT_BY_OFFICER, NOT_AGAIN, Doubt, DoubtLine
from service.core.kinds import KINDS, MessageState, Policy
from service.db.queries.calling_off import CLOSED
from service.db.queries.unsettled import IN_DOUBT, SUBMITTING
from service.db.tables.alerts import alert
from service.db.tables.outbox import attempt, message
from service.db.tables.people import district, farmer, phone, stop_list

# A text whose alert was called off or has expired is not sent again: it stays in doubt, which is the truth of it.
_OVER: Final = select(alert.c.id).where(alert.c.state.in_((AlertState.CALLED_OFF, AlertState.EXPIRED)))
_THAT_MAY_GO: Final = (
    select(message)
    .where(IN_DOUBT, or_(message.c.alert_id.is_(None), message.c.alert_id.not_in(_OVER)), ~CLOSED)
    .order_by(message.c.state_at)
)
LOOKED_AT: Final = or_(func.coalesce(message.c.why, "") == LEFT_BY_OFFICER, CLOSED)
_TO_STOPPED: Final = tuple(kind.name for kind in KINDS.values() if kind.to_stopped)
_STOPPED: Final = (
    select(phone.c.id)
    .join(stop_list, stop_list.c.number_index == phone.c.number_index)
    .where(phone.c.id == message.c.phone_id)
)
_CLOSE_STOPPED: Final = (
    update(message)
    .where(IN_DOUBT, message.c.kind.not_in(_TO_STOPPED), ~CLOSED, exists(_STOPPED))
    .values(why=f"{NOT_AGAIN}the phone has stopped")
)


class Doubts:
    """Texts in doubt; what is decided about one is written by the outbox."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def lines(
        self, districts: Collection[int] | None, *, looked_at: bool, limit: int
    ) -> tuple[DoubtLine, ...]:
        """Return texts in doubt to farmers of these districts, the oldest first; None for all texts."""
        found = _joined(_line()).where(_within(districts), LOOKED_AT if looked_at else ~LOOKED_AT)
        rows = self._connection.execute(found.order_by(message.c.state_at, message.c.id).limit(limit))
        return tuple(_as_line(row) for row in rows)

    def count(self, districts: Collection[int] | None, *, looked_at: bool) -> int:
        """Return how many those are."""
        found = _joined(select(func.count()).select_from(message)).where(
            _within(districts), LOOKED_AT if looked_at else ~LOOKED_AT
        )
        count: int = self._connection.execute(found).scalar_one()
        return count

    def find(self, key: tuple[date, int]) -> DoubtLine | None:
        """Return a text if it is in doubt."""
        found = _joined(_line()).where(message.c.queued_on == key[0], message.c.id == key[1])
        row = self._connection.execute(found).first()
        return _as_line(row) if row else None

    def close_stopped(self) -> None:
        """Close the doubts of phones that have stopped since: such a text ends here, and says so."""
        self._connection.execute(_CLOSE_STOPPED)

    def begin_for_all_submitting(self, at: datetime) -> int:
        """After a crash: what stands as submitting may have left or not. Return how many those are."""
        self._connection.execute(
            update(attempt).where(attempt.c.outcome.is_(None)).values(outcome="answer_lost", ended_at=at)
        )
        changed = self._connection.execute(
            update(message)
            .where(SUBMITTING)
            .values(
                state=MessageState.IN_DOUBT,
                state_at=at,
                doubts=message.c.doubts + 1,
                why="stopped while sending",
            )
        )
        return changed.rowcount

    def that_may_go(self) -> tuple[Doubt, ...]:
        """Return all texts in doubt that may go again, the longest first."""
        rows = self._connection.execute(_THAT_MAY_GO)
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


def _line() -> Select[Any]:
    return select(
        message.c.queued_on,
        message.c.id,
        message.c.kind,
        message.c.text,
        message.c.state_at.label("since"),
        message.c.expires_at,
        message.c.policy,
        message.c.tries,
        message.c.doubts,
        message.c.farmer_id,
        farmer.c.name.label("farmer"),
        farmer.c.district_id,
        district.c.name.label("district"),
        message.c.alert_id,
        func.coalesce(alert.c.state.in_((AlertState.CALLED_OFF, AlertState.EXPIRED)), false()).label(
            "alert_over"
        ),
        phone.c.last3,
        message.c.why,
        LOOKED_AT.label("looked_at"),
    )


def _joined(what: Select[Any]) -> Select[Any]:
    return (
        what.join(phone, phone.c.id == message.c.phone_id)
        .outerjoin(farmer, farmer.c.id == message.c.farmer_id)
        .outerjoin(alert, alert.c.id == message.c.alert_id)
        .outerjoin(district, district.c.id == farmer.c.district_id)
        .where(IN_DOUBT)
    )


def _within(districts: Collection[int] | None) -> ColumnElement[bool]:
    # A text to somebody who has not joined belongs to no district: only who has all of them sees it.
    return true() if districts is None else farmer.c.district_id.in_(sorted(districts))


def _as_line(row: Row[Any]) -> DoubtLine:
    values = dict(row._mapping)  # noqa: SLF001 - public, underlined so that no column hides it
    key = (values.pop("queued_on"), values.pop("id"))
    return DoubtLine(
        **{**values, "key": key, "alert_over": bool(row.alert_over), "looked_at": bool(row.looked_at)}
    )
