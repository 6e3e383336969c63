"""Receipts: what the network says of a text raises it, whatever the order and however often it is said.

A text of several parts is delivered when all of them are, and as badly off as the worst of them.
"""

from datetime import date, datetime, timedelta
from typing import Final

from service.core.gateway import Progress, Stage
from service.core.kinds import RECEIPT_RANK, MessageState
from service.core.ports import Work
from service.core.wire_ports import Told

# Longer than any network lets a receipt overtake its answer by; what nobody claims by then belongs to nobody here.
PARKED_FOR: Final = timedelta(hours=72)


def take_receipt(work: Work, gateway: str, event: Progress, now: datetime) -> None:
    """Keep a receipt and let its text rise by it. The caller commits, then acknowledges."""
    key: tuple[date, int] | None = work.receipts.keep(gateway, event, now)
    if key is None:
        return
    state = work.outbox.state_of(key)
    now_at = raised(work, key, state, Told(stage=event.stage, part=event.part))
    if now_at is not state:
        work.outbox.set_state(key, now_at, now)


def raised(work: Work, key: tuple[date, int], state: MessageState, told: Told) -> MessageState:
    """Return where a text stands once a receipt has told something of it."""
    one_of_several = (
        told.part is not None and told.stage is Stage.DELIVERED and not work.receipts.all_parts_delivered(key)
    )
    return higher(state, MessageState.ENROUTE if one_of_several else MessageState(told.stage))


def higher(state: MessageState, stage: MessageState) -> MessageState:
    """Return where a text stands after a receipt: it only rises, and a final word stays."""
    rank = RECEIPT_RANK
    if state not in rank:
        # A text that never left, by our books, and yet has a receipt, did leave.
        return stage
    return stage if rank[stage] > rank[state] else state


def let_parked_go(work: Work, now: datetime) -> int:
    """Forget receipts that nobody has claimed in 72 hours; return how many those were."""
    gone = work.receipts.let_go(now - PARKED_FOR)
    work.commit()
    return gone
