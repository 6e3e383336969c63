"""Jobs whose text is written and has not left: it lies in the outbox, and all it says is about one plot."""

from typing import Final

from sqlalchemy import and_, exists

from service.core.kinds import MessageState
from service.core.model import ReminderState
from service.db.queries.by_plot import SETTLED
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.plots import reminder

_other = reminder.alias()
# A text that has been in doubt may have been read.
_OTHER_PLOTS: Final = (
    exists()
    .where(
        _other.c.message_day == message.c.queued_on,
        _other.c.message_id == message.c.id,
        _other.c.plot_id != reminder.c.plot_id,
    )
    # Said, since by itself only the statement right around is looked at, which is the one about the message.
    .correlate(message, reminder)
)
WAITS: Final = and_(message.c.state == only(MessageState.DUE), message.c.doubts == 0)
UNSENT: Final = and_(
    SETTLED,
    reminder.c.state == ReminderState.TEXTED,
    exists().where(
        message.c.queued_on == reminder.c.message_day,
        message.c.id == reminder.c.message_id,
        WAITS,
        ~_OTHER_PLOTS,
    ),
)
