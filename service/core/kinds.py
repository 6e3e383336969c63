"""Message kinds as data: one row says all that differs between one kind of text and another."""

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import Final


class Policy(StrEnum):
    """What is done with a text of which nobody knows whether it was sent."""

    AT_MOST_ONCE = "at_most_once"
    AT_LEAST_ONCE = "at_least_once"


@dataclass(frozen=True, kw_only=True, slots=True)
class Kind:
    """How one kind of text is treated.

    Attributes:
        name: as stored with each message.
        policy: at most or at least once, see `Policy`.
        priority: smaller leaves first.
        counts_to_cap: whether it is one of the pushed texts that the cap of three in seven days counts.
        any_hour: whether it may leave in quiet hours.
        to_stopped: whether it may go to a phone on the stop list (only what the phone itself has just asked for).
        useful_for: after that long it is not sent any more.
        resend_after: how long a text in doubt waits for its receipt before it is sent again.
        pushed: whether we begin with it, rather than answer: it is paid for from the budget.
        alert: whether it is a text of an alert: it may be asked while an earlier alert waits for its answer.
        not_after: kinds of which a phone may have had no text on the same local day; else it waits for the next.
    """

    name: str
    policy: Policy
    priority: int
    counts_to_cap: bool = False
    any_hour: bool = False
    to_stopped: bool = False
    useful_for: timedelta
    resend_after: timedelta = timedelta(minutes=10)
    pushed: bool = True
    alert: bool = False
    not_after: tuple[str, ...] = ()


_ROWS: Final = (
    Kind(
        name="emergency",
        policy=Policy.AT_LEAST_ONCE,
        priority=0,
        any_hour=True,
        to_stopped=True,
        pushed=False,
        useful_for=timedelta(hours=6),
        resend_after=timedelta(minutes=1),
    ),
    Kind(
        name="reply",
        policy=Policy.AT_LEAST_ONCE,
        priority=1,
        any_hour=True,
        to_stopped=True,
        pushed=False,
        useful_for=timedelta(minutes=15),
        resend_after=timedelta(minutes=5),
    ),
    # An officer's own words to somebody in danger, who waits for them.
    Kind(
        name="urgent_answer",
        policy=Policy.AT_LEAST_ONCE,
        priority=1,
        any_hour=True,
        pushed=False,
        useful_for=timedelta(hours=6),
        resend_after=timedelta(minutes=2),
    ),
    # The same to a question: it was asked for, so no cap counts it, but it can wait for the morning.
    Kind(
        name="answer",
        policy=Policy.AT_LEAST_ONCE,
        priority=1,
        pushed=False,
        useful_for=timedelta(hours=48),
    ),
    # It answers what a farmer has brought, so no cap counts it; it can wait for the morning.
    Kind(
        name="delivery",
        policy=Policy.AT_LEAST_ONCE,
        priority=2,
        pushed=False,
        useful_for=timedelta(hours=48),
    ),
    # An alert's own useless-after hour ends both before that where it is earlier.
    Kind(
        name="urgent_alert",
        policy=Policy.AT_LEAST_ONCE,
        priority=2,
        any_hour=True,
        alert=True,
        not_after=("urgent_alert", "further_alert"),
        useful_for=timedelta(hours=6),
        resend_after=timedelta(minutes=2),
    ),
    # An urgent one that an officer sends on top of the day's other alerts, and gives the reason for.
    Kind(
        name="further_alert",
        policy=Policy.AT_LEAST_ONCE,
        priority=2,
        any_hour=True,
        alert=True,
        useful_for=timedelta(hours=6),
        resend_after=timedelta(minutes=2),
    ),
    Kind(
        name="alert",
        policy=Policy.AT_MOST_ONCE,
        priority=3,
        alert=True,
        not_after=("urgent_alert", "further_alert", "alert"),
        useful_for=timedelta(hours=24),
    ),
    Kind(
        name="flowers_stay",
        policy=Policy.AT_LEAST_ONCE,
        priority=3,
        useful_for=timedelta(hours=48),
    ),
    # On the morning on which a spray holds picking back no more; once, whatever else is texted that day.
    Kind(
        name="hold_over",
        policy=Policy.AT_LEAST_ONCE,
        priority=3,
        useful_for=timedelta(hours=48),
    ),
    # A collection is called off or moved: whoever has picked for it must know, but the day's other texts give way.
    Kind(
        name="collection_change",
        policy=Policy.AT_LEAST_ONCE,
        priority=3,
        counts_to_cap=True,
        useful_for=timedelta(hours=48),
    ),
    # Asks somebody whom an officer has added, twice at most in two weeks, so one that is lost does no harm.
    Kind(
        name="invitation",
        policy=Policy.AT_MOST_ONCE,
        priority=4,
        counts_to_cap=True,
        useful_for=timedelta(hours=48),
    ),
    # Asked later it does nothing, and asked twice it annoys.
    Kind(
        name="nudge",
        policy=Policy.AT_MOST_ONCE,
        priority=4,
        counts_to_cap=True,
        useful_for=timedelta(hours=12),
    ),
    Kind(
        name="reminder",
        policy=Policy.AT_LEAST_ONCE,
        priority=4,
        counts_to_cap=True,
        useful_for=timedelta(hours=48),
    ),
)

KINDS: Final[dict[str, Kind]] = {kind.name: kind for kind in _ROWS}
PRIORITIES: Final = tuple(sorted({kind.priority for kind in _ROWS}))
ALERT_KINDS: Final = tuple(kind.name for kind in _ROWS if kind.alert)
CAPPED_KINDS: Final = tuple(kind.name for kind in _ROWS if kind.counts_to_cap)


class MessageState(StrEnum):
    """Where a text stands; the words are those of the screens."""

    DUE = "due"
    SUBMITTING = "submitting"
    IN_DOUBT = "in_doubt"
    ACCEPTED = "accepted"
    ENROUTE = "enroute"
    DELIVERED = "delivered"
    UNKNOWN = "unknown"
    UNDELIVERABLE = "undeliverable"
    REJECTED = "rejected"
    DELETED = "deleted"
    EXPIRED = "expired"
    EXPIRED_UNSENT = "expired_unsent"
    FAILED = "failed"
    CANCELLED = "cancelled"
    DROPPED = "dropped"


SENT: Final = (MessageState.ACCEPTED, MessageState.ENROUTE, MessageState.DELIVERED, MessageState.UNKNOWN)
NEVER_LEFT: Final = (
    MessageState.EXPIRED_UNSENT,
    MessageState.FAILED,
    MessageState.CANCELLED,
    MessageState.DROPPED,
)
NEVER_ARRIVED: Final = (
    *NEVER_LEFT,
    MessageState.UNDELIVERABLE,
    MessageState.REJECTED,
    MessageState.DELETED,
    MessageState.EXPIRED,
)
# Receipts only move a text upward in this order; a final word is kept, but for "unknown", which a late receipt
# may still turn into "delivered".
RECEIPT_RANK: Final[dict[str, int]] = {
    MessageState.DUE: 0,
    MessageState.SUBMITTING: 0,
    MessageState.IN_DOUBT: 0,
    MessageState.ACCEPTED: 1,
    MessageState.ENROUTE: 2,
    MessageState.UNKNOWN: 3,
    MessageState.DELIVERED: 4,
    MessageState.UNDELIVERABLE: 4,
    MessageState.REJECTED: 4,
    MessageState.DELETED: 4,
    MessageState.EXPIRED: 4,
}
