"""Texts on the wire or in doubt, few among millions, in words by which both engines find them.

An engine uses the partial index of these states only where it reads the index's own condition in the statement.
"""

from typing import Final

from sqlalchemy import and_

from service.core.kinds import MessageState
from service.db.tables.meta import only
from service.db.tables.outbox import message

UNSETTLED: Final = message.c.state.in_([only(MessageState.SUBMITTING), only(MessageState.IN_DOUBT)])
SUBMITTING: Final = and_(UNSETTLED, message.c.state == only(MessageState.SUBMITTING))
IN_DOUBT: Final = and_(UNSETTLED, message.c.state == only(MessageState.IN_DOUBT))
