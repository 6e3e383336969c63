"""Jobs whose text is written and has not left: it lies in the outbox, and all it says is about one plot."""

from typing import Final

from sqlalchemy import and_, exists, select

from service.core.kinds import MessageState
from service.core.model import ReminderState
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.plots import plot, reminder

_other = reminder.alias()
# A text that has been in doubt may have been read. By way of the farmer's plots, as nothing else leads quickly from a
# text to its jobs.
_OTHER_PLOTS: Final = exists().where(
    _other.c.plot_id.in_(select(plot.c.id).where(plot.c.farmer_id == message.c.farmer_id).correlate(message)),
    _other.c.message_day == message.c.queued_on,
    _other.c.message_id == message.c.id,
    _other.c.plot_id != reminder.c.plot_id,
)
WAITS: Final = and_(message.c.state == only(MessageState.DUE), message.c.doubts == 0)
UNSENT: Final = and_(
    reminder.c.state == ReminderState.TEXTED,
    exists().where(
        message.c.queued_on == reminder.c.message_day,
        message.c.id == reminder.c.message_id,
        WAITS,
        ~_OTHER_PLOTS,
    ),
)
