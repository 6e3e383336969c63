"""Trying again: how long a refused text waits, and what becomes of a text in doubt.

Rules:

* A refusal that is not the text's fault lets the whole route rest; one that may pass lets the text wait ever longer.
* A text in doubt is settled by its receipt, or else by the policy of its kind: sent again once it has waited
  `resend_after`, or left for a person to look at.
* A text in doubt whose phone has said STOP meanwhile is not sent again: its doubt is closed and says why.
* Duplicates are therefore never more than the texts that were in doubt, and each of those is counted.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Final, Protocol

from service.core.doubt_ports import Doubt
from service.core.gateway import RefusalClass, Refused
from service.core.kinds import KINDS, MessageState, Policy
from service.core.model import Claimed
from service.core.ports import Work

MOST_TRIES: Final = 5
_FIRST_PAUSE: Final = timedelta(seconds=30)
# How long a route rests after such a refusal: the texts are not at fault, so their tries are not counted.
PAUSES: Final[Mapping[RefusalClass, timedelta]] = {
    RefusalClass.PACE: timedelta(seconds=2),
    RefusalClass.LINK: timedelta(seconds=30),
}
_NO_PAUSE: Final = timedelta()
# A network may ask for a longer rest, but not for ever: urgent texts have to be tried.
LONGEST_PAUSE: Final = timedelta(minutes=5)


def rest_after(refusal: Refused) -> timedelta:
    """Return how long a route rests after a refusal that is not the text's fault; nothing after any other."""
    if refusal.reason not in PAUSES:
        return _NO_PAUSE
    return max(PAUSES[refusal.reason], min(refusal.retry_after or _NO_PAUSE, LONGEST_PAUSE))


def backoff(claimed: Claimed) -> timedelta:
    """Return how long a text waits for its next try: twice as long each time, and not all texts equally long.

    Texts that were refused together would else come back together. The share of a quarter that is added is drawn
    from the text's id, spread by Knuth's multiplicative hash, so that nothing here depends on chance.
    """
    share: float = (claimed.id * 2_654_435_761 & 0xFFFFFFFF) / 2**34
    doubled: int = 2 ** (claimed.tries - 1)
    return _FIRST_PAUSE * (doubled * (1 + share))


def recover(work: Work, now: datetime) -> int:
    """After a start: let what was being sent when the process ended be in doubt. Return how many."""
    count = work.doubts.begin_for_all_submitting(now)
    work.budget.spend_all_reserved()
    work.commit()
    return count


def settle_doubts(work: Work, now: datetime) -> int:
    """Send again what has been in doubt long enough and may be sent twice. Return how many those are."""
    work.doubts.close_stopped()
    again = 0
    for doubt in work.doubts.that_may_go():
        if _may_go_again(doubt, now):
            key = (doubt.queued_on, doubt.id)
            work.outbox.set_state(key, MessageState.DUE, now, why="sent again: no answer came")
            again += 1
    work.commit()
    return again


class Doubtful(Protocol):
    """A text in doubt, with what decides whether it is sent again by itself."""

    @property
    def kind(self) -> str:
        """Its kind."""
        ...

    @property
    def policy(self) -> str:
        """Whether it may be sent twice."""
        ...

    @property
    def tries(self) -> int:
        """How often it has been handed to the network."""
        ...

    @property
    def since(self) -> datetime:
        """Since when it is in doubt."""
        ...

    @property
    def expires_at(self) -> datetime:
        """When it is of no more use."""
        ...


def goes_again(doubt: Doubtful, now: datetime) -> bool:
    """Return whether a text in doubt is sent again by itself, now or later, if no receipt comes."""
    return (
        doubt.policy == Policy.AT_LEAST_ONCE
        and doubt.tries < MOST_TRIES
        and max(now, _again_from(doubt)) < doubt.expires_at
    )


def _again_from(doubt: Doubtful) -> datetime:
    return doubt.since + KINDS[doubt.kind].resend_after


def _may_go_again(doubt: Doubt, now: datetime) -> bool:
    return goes_again(doubt, now) and now >= _again_from(doubt)
