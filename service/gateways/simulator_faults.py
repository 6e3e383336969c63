"""What can go wrong in the simulated network, and how a seed decides which text it befalls.

Every fault of an attempt is drawn by hashing the seed, our reference, the number of the attempt and the
fault's name. The same seed therefore gives the same faults whatever the order or the threads in which texts
are sent, and a second attempt at a refused text has its own luck.
"""

import hashlib
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import Final

_DRAW_OCTETS: Final = 8
_DRAW_RANGE: Final = 256**_DRAW_OCTETS


class Fault(StrEnum):
    """One thing that can befall an attempt; the value is the name of its probability in `Faults`."""

    ANSWER_LOST_BEFORE = "answer_lost_before"
    REFUSED_PACE = "refused_pace"
    REFUSED_TEMPORARY = "refused_temporary"
    REFUSED_PERMANENT = "refused_permanent"
    REFUSED_LINK = "refused_link"
    ANSWER_LOST_AFTER = "answer_lost_after"
    SLOW_ANSWER = "slow_answer"
    HANDSET_OFF = "handset_off"
    EARLY_RECEIPT = "early_receipt"
    LATE_RECEIPT = "late_receipt"
    REPEATED_RECEIPT = "repeated_receipt"
    BARE_RECEIPT = "bare_receipt"
    LOST_RECEIPT = "lost_receipt"


@dataclass(frozen=True, kw_only=True, slots=True)
class Faults:
    """How likely each fault is, from 0 (never, the default) to 1 (always).

    Attributes:
        answer_lost_before: the network reads the text, does nothing with it and never answers.
        refused_pace: refused, too fast.
        refused_temporary: refused, try again later.
        refused_permanent: refused for good.
        refused_link: refused because of the link itself.
        answer_lost_after: the network takes the text and delivers it, and never answers.
        slow_answer: the answer is held back for `hold_seconds`, and the receipts follow it.
        handset_off: the text is taken but its phone is off until the text is no longer valid.
        early_receipt: the receipt can be heard at once while the answer is held back for `hold_seconds`.
        late_receipt: the receipt comes `late_by` later, in the network's time.
        repeated_receipt: each receipt comes twice, as two events.
        bare_receipt: the receipt does not give our reference back.
        lost_receipt: no receipt ever comes.
        hold_seconds: real seconds for which an answer is held back.
        late_by: how late a late receipt is.

    Raises:
        ValueError: if a probability is no probability, or a time runs backwards.
    """

    answer_lost_before: float = 0.0
    refused_pace: float = 0.0
    refused_temporary: float = 0.0
    refused_permanent: float = 0.0
    refused_link: float = 0.0
    answer_lost_after: float = 0.0
    slow_answer: float = 0.0
    handset_off: float = 0.0
    early_receipt: float = 0.0
    late_receipt: float = 0.0
    repeated_receipt: float = 0.0
    bare_receipt: float = 0.0
    lost_receipt: float = 0.0
    hold_seconds: float = 0.25
    late_by: timedelta = timedelta(minutes=10)

    def __post_init__(self) -> None:
        """Refuse what could never be meant."""
        for fault in Fault:
            if not 0 <= self.likelihood(fault) <= 1:
                raise ValueError(f"{fault} is {self.likelihood(fault)}: a probability lies between 0 and 1")
        if self.hold_seconds < 0 or self.late_by < timedelta():
            raise ValueError("hold_seconds and late_by cannot be negative")

    def likelihood(self, fault: Fault) -> float:
        """Return how likely `fault` is."""
        return float(getattr(self, fault.value))

    def befalling(self, *, seed: int, our_ref: str, attempt: int) -> frozenset[Fault]:
        """Return the faults that this attempt meets; the same arguments always give the same faults."""
        return frozenset(
            fault
            for fault in Fault
            # What never happens needs no draw, which keeps a network without faults fast.
            if (likelihood := self.likelihood(fault)) > 0
            and _draw(f"{seed}/{our_ref}/{attempt}/{fault.value}") < likelihood
        )


NO_FAULTS: Final = Faults()


def _draw(name: str) -> float:
    """Return a number in [0, 1), spread evenly over names."""
    digest = hashlib.sha256(name.encode()).digest()
    return int.from_bytes(digest[:_DRAW_OCTETS]) / _DRAW_RANGE
