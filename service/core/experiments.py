"""Experiments: who is held out of the advice texts, and who gets the second wording of a text.

Which arm a farmer is in follows from a hash of the experiment's salt and the farmer's id: nobody chooses, it is the
same on every machine and every day, and the next experiment deals anew. The salt is drawn when the experiment begins
and never changes.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from flows.second_wordings import SECOND_WORDINGS

# The experiment of which there is one for ever: its second arm gets no advice that was not asked for.
NO_ADVICE = "no_advice"
_BUCKETS = 10_000
# What a text brings about is seen within a week or never.
DONE_WITHIN = timedelta(days=7)


class Arm(StrEnum):
    """Which of two groups a farmer is in."""

    FIRST = "first"
    SECOND = "second"


@dataclass(frozen=True, kw_only=True, slots=True)
class Experiment:
    """One experiment.

    Attributes:
        topic: NO_ADVICE, or which wording is tried: a key of `SECOND_WORDINGS`.
        percent: how many of a hundred farmers are in the second arm.
        salt: drawn when it began.
        began_on: its first day.
        ends_on: the last day on which it is told apart; None where it goes on for ever.
    """

    id: int
    topic: str
    percent: int
    salt: str
    began_on: date
    ends_on: date | None

    def arm_of(self, farmer_id: int) -> Arm:
        """Return the arm of a farmer."""
        digest = hashlib.sha256(f"{self.salt}:{farmer_id}".encode()).digest()
        bucket = int.from_bytes(digest[:8]) % _BUCKETS
        return Arm.SECOND if bucket * 100 < self.percent * _BUCKETS else Arm.FIRST

    def mark(self, arm: Arm) -> str:
        """Return what a message of that arm carries."""
        return f"{self.id}:{arm}"

    @property
    def second_wordings(self) -> Mapping[str, str]:
        """The texts it tries, each with its second wording."""
        return SECOND_WORDINGS.get(self.topic, {})


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstTexts:
    """Farmers by their first text of one arm: how many there are, and whose jobs of it were done in seven days."""

    farmers: int
    done: int
