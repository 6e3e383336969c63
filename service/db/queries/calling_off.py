"""Calling off texts that wait: those that never left are cancelled, and of the others nobody knows more than before."""

from datetime import datetime
from typing import Final

from sqlalchemy import ColumnElement, Connection, and_, func, or_, update

from service.core.doubt_ports import NOT_AGAIN
from service.core.kinds import MessageState
from service.db.tables.meta import only
from service.db.tables.outbox import message

_DUE: Final = message.c.state == only(MessageState.DUE)
_IN_DOUBT: Final = message.c.state == only(MessageState.IN_DOUBT)
# A doubt that is closed is not sent again, and nobody need look at it.
CLOSED: Final = func.coalesce(message.c.why, "").startswith(NOT_AGAIN, autoescape=True)


def call_off(connection: Connection, which: ColumnElement[bool], why: str, at: datetime) -> None:
    """Let the texts of a condition leave no more.

    One that has been on the wire before may have arrived: it stays in doubt, is closed, and says why.
    """
    never_left = and_(which, _DUE, message.c.doubts == 0)
    connection.execute(
        update(message).where(never_left).values(state=MessageState.CANCELLED, state_at=at, why=why)
    )
    may_have_left = and_(which, or_(and_(_DUE, message.c.doubts > 0), and_(_IN_DOUBT, ~CLOSED)))
    connection.execute(
        update(message)
        .where(may_have_left)
        .values(state=MessageState.IN_DOUBT, state_at=at, why=f"{NOT_AGAIN}{why}")
    )
