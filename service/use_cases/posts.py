"""What a gateway posts to us: taken once, kept and committed before it is acknowledged, read afterwards."""

from datetime import datetime

from service.core.gateway import InboundText, Progress
from service.core.phone import BadNumber
from service.core.ports import Work
from service.use_cases.receipts import take_receipt
from service.use_cases.receiving import store
from service.use_cases.tools import Tools


def take_post(
    work: Work, tools: Tools, event: InboundText | Progress, *, posted_at: datetime, now: datetime
) -> bool:
    """Keep a text or a receipt that was posted; return whether it was new.

    Args:
        event: its `event_id` is the id it was posted under, the same however often it is posted again.
        posted_at: real time, in which posts are counted as seen.
        now: service time.

    Raises:
        BadNumber: its sender is no phone that could be answered; nothing is kept but that it was posted.
    """
    gateway = tools.programme.gateway
    if work.hooks.seen(gateway, event.event_id, posted_at):
        return False
    try:
        new = _keep(work, tools, event, now)
    except BadNumber:
        work.commit()
        raise
    work.commit()
    return new


def _keep(work: Work, tools: Tools, event: InboundText | Progress, now: datetime) -> bool:
    if isinstance(event, Progress):
        take_receipt(work, tools.programme.gateway, event, now)
        return True
    return store(work, tools, event, event.received_at, now)
