"""Receipts: what the network says of a text raises it, whatever the order and however often it is said."""

from datetime import date, datetime

from service.core.gateway import Progress
from service.core.kinds import RECEIPT_RANK, MessageState
from service.core.ports import Work


def take_receipt(work: Work, gateway: str, event: Progress, now: datetime) -> None:
    """Keep a receipt and let its text rise by it. The caller commits, then acknowledges."""
    key: tuple[date, int] | None = work.receipts.keep_receipt(gateway, event, now)
    if key is None:
        return
    state = work.outbox.state_of(key)
    raised = higher(state, MessageState(event.stage))
    if raised is not state:
        work.outbox.set_state(key, raised, now)


def higher(state: MessageState, stage: MessageState) -> MessageState:
    """Return where a text stands after a receipt: it only rises, and a final word stays."""
    rank = RECEIPT_RANK
    if state not in rank:
        # A text that never left, by our books, and yet has a receipt, did leave.
        return stage
    return stage if rank[stage] > rank[state] else state
