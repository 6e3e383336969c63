"""The morning on which a spray holds picking back no more: one text to the farmer, outside the cap.

It goes only where fruit is picked already. A hold that was lengthened, shortened or taken back meanwhile ends on
another morning, or with none: what is looked for is the day on which the last of a farmer's holds ends.
"""

from datetime import datetime, timedelta
from typing import Final

from flows.wording import Name, Phrase
from scheduler.writing import Morning
from service.agronomy.calendar import END, Calendar
from service.clock import local_instant
from service.core.kinds import KINDS
from service.core.model import NewMessage
from service.db.queries.ended_holds import EndedHold
from service.db.work import Database
from service.use_cases.hours import QUIET_FROM
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

KIND: Final = "hold_over"
# Told later than on the next day it is no news.
_TOLD_WITHIN: Final = timedelta(days=1)
# Texts in one transaction, and seconds between two: on SQLite nobody else writes meanwhile.
_CHUNK: Final = 100
_GIVES_WAY: Final = 0.005


def end_holds(database: Database, tools: Tools, morning: Morning) -> int:
    """Write the texts of a zone's holds that end on this morning; return how many."""
    until = local_instant(morning.day + _TOLD_WITHIN, QUIET_FROM, morning.zone)
    if until <= morning.now:
        return 0
    with database.look() as work:
        found = work.ended_holds.on(morning.zone, tools.calendar.id, morning.day, morning.now)
    # Of several plots and sprays the latest spray is named.
    by_farmer = {one.farmer_id: one for one in found if _is_picked(tools.calendar, one, morning)}
    texts = [_write(tools, one, morning, until) for one in by_farmer.values()]
    for first in range(0, len(texts), _CHUNK):
        with database.work() as work:
            chunk = texts[first : first + _CHUNK]
            work.outbox.queue(chunk, gateway=tools.programme.gateway, kinds=KINDS, at=morning.now)
            work.commit()
        database.give_way(_GIVES_WAY)
    return len(texts)


def _is_picked(calendar: Calendar, one: EndedHold, morning: Morning) -> bool:
    age = (morning.day - one.planted_on).days
    return (one.picking_early or age >= calendar.picking_from) and age <= END


def _write(tools: Tools, one: EndedHold, morning: Morning, until: datetime) -> NewMessage:
    return new_text(
        tools,
        Phrase("hold_over", {"name": Name(one.name), "date_sprayed": one.sprayed_on}),
        language=one.language,
        kind=KIND,
        phone_id=one.phone_id,
        farmer_id=one.farmer_id,
        zone=morning.zone,
        day=morning.day,
        idem_key=f"{KIND}:{one.farmer_id}",
        not_before=morning.leaves_at(one.text_hour, one.phone_id),
        until=until,
    )
