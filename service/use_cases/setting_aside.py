"""Setting a text aside that cannot be read, so that those behind it go on, and having a person look at it."""

from typing import Final

from flows.effects import Urgency
from flows.facts import FarmerState
from service.core.model import Inbound, InboundState
from service.core.ports import Work
from service.use_cases.knowing import free_code
from service.use_cases.tools import Tools

MOST_TRIES: Final = 3


def set_aside(work: Work, tools: Tools, inbound: Inbound) -> None:
    """Count a failed try at reading a text; after three it goes to the officers: nobody knows what it says."""
    last = inbound.tries + 1 >= MOST_TRIES
    work.inbox.mark_tried(inbound.id, InboundState.CORRUPT if last else InboundState.STORED)
    if last:
        active = [one for one in work.people.on_phone(inbound.phone_id) if one.state is FarmerState.ACTIVE]
        work.talks.add_question(
            id=tools.ids.row(),
            code=free_code(work, tools),
            phone_id=inbound.phone_id,
            farmer_id=active[0].id if len(active) == 1 else None,
            inbound_id=inbound.id,
            text=inbound.text,
            urgency=Urgency.UNREAD,
            asked_at=inbound.received_at,
        )
    work.commit()
