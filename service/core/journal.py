"""The send journal: what left, kept outside the database, so that an older database is told from the right one.

A backup that is put back has forgotten what was sent after it was made, and would send it again. So each batch of
texts is written here, and is on disk, before its first byte leaves; what came of each text follows. A database
that does not know the journal's last texts is older than the journal: see `service.use_cases.reconciling`.

The same journal keeps who said stop and who was erased, because that must hold after a restore too.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Protocol

from service.core.errors import TrusslineError


class JournalError(TrusslineError):
    """The journal cannot be written or read; the sentence says where and what to do."""


class Outcome(StrEnum):
    """What came of a text that was about to leave."""

    ACCEPTED = "accepted"
    """The network has it."""
    DOUBT = "doubt"
    """It may have left; so may one of which nothing is written."""
    STAYED = "stayed"
    """It did not leave: refused, or nothing was handed over."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Departure:
    """One try at sending one text, with all that is needed to know it again in an older database.

    Attributes:
        reference: names this try.
        at: when it was claimed, in service time.
        queued_on: with `idem_key` names the text, whether or not the database has it.
        phone: the value by which the number is found; the number itself is not kept here.
        jobs: the reminders that the text carries, as words.
        scopes: the purses its parts are paid from; none if it is not paid from the budget.
        paid_on: the day in whose purses they are, or would be.
    """

    reference: str
    at: datetime
    queued_on: date
    message_id: int
    idem_key: str
    kind: str
    phone: bytes
    farmer_id: int | None
    gateway: str
    language: str
    text_id: str
    parts: int
    zone: str
    expires_at: datetime
    paid_on: date
    jobs: tuple[str, ...] = ()
    scopes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Departed:
    """A departure and what came of it; `outcome` is DOUBT where nothing is written."""

    departure: Departure
    outcome: Outcome
    gateway_ref: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Refusals:
    """Whom nothing may be sent to and who is not to be known: value of the number, and farmer's id."""

    stopped: frozenset[bytes] = frozenset()
    erased: frozenset[int] = frozenset()


class Journal(Protocol):
    """Keeps what left. Only the worker writes to it."""

    def leaving(self, departures: Sequence[Departure]) -> None:
        """Keep that these texts are about to leave; when this returns they are on disk.

        Raises:
            JournalError: they are not kept, so nothing may leave.
        """
        ...

    def ended(self, reference: str, outcome: Outcome, gateway_ref: str | None = None) -> None:
        """Keep what came of a try; what is lost here by a power cut counts as in doubt.

        Raises:
            JournalError: it is not kept.
        """
        ...

    def newest_first(self) -> Iterator[tuple[Departed, ...]]:
        """Yield what left in stretches, the newest stretch first, each in the order in which it left.

        Raises:
            JournalError: the journal cannot be read.
        """
        ...

    def refusals(self) -> Refusals:
        """Return who had said stop, and who had been erased, when the journal was last written.

        Raises:
            JournalError: the journal cannot be read.
        """
        ...

    def keep_refusals(self, refusals: Refusals) -> None:
        """Keep who has said stop and who has been erased.

        Raises:
            JournalError: they are not kept.
        """
        ...
