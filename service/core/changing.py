"""What an officer changes of a farmer, as values, and what is asked of the database for it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Protocol

from flows.facts import FarmerState

# What is kept with a consent row where an officer acted on the farmer's word.
BY_OFFICER: Final = "officer"
# A phone that is asked whether it is a farmer's new one, and one that has said no or nothing: neither speaks for them.
ASKED: Final = "asked"
REFUSED: Final = "refused"


@dataclass(frozen=True, kw_only=True, slots=True)
class Person:
    """What of a farmer an officer can correct; village and group lie in the district or are None."""

    name: str
    language: str
    district_id: int
    village_id: int | None
    group_id: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class LastWord:
    """What was asked or answered last about being texted."""

    answer: str
    way: str
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """How a farmer stands before something is changed.

    Attributes:
        phones: those that speak for them, the one that is texted first.
        asked: the phone that is asked whether it is theirs now, if one is.
        last_word: None where nothing was ever asked.
    """

    id: int
    person: Person
    state: FarmerState
    zone: str
    paused_until: datetime | None
    phones: tuple[int, ...]
    asked: int | None
    last_word: LastWord | None


class ChangingRows(Protocol):
    """What is known of a farmer whom an officer changes."""

    def standing(self, farmer_id: int) -> Standing | None:
        """Return how a farmer stands; None for one who is erased or not there."""
        ...

    def ask(self, farmer_id: int, phone_id: int, now: datetime) -> None:
        """Let a phone be asked whether it is the farmer's; until it says yes it speaks for them in nothing."""
        ...

    def take(self, farmer_id: int, phone_id: int, role: str, now: datetime) -> None:
        """Let the phone that said yes speak for the farmer, in place of all others of theirs."""
        ...

    def refuse(self, farmer_id: int, phone_id: int, now: datetime) -> None:
        """Keep that a phone which was asked is not the farmer's."""
        ...

    def leave(self, farmer_id: int, phone_id: int, now: datetime) -> None:
        """Let a phone speak for the farmer no longer."""
        ...

    def take_back(self, farmer_id: int, phone_id: int) -> None:
        """Undo `ask`, with what was left in the same moment."""
        ...

    def asked_before(self, instant: datetime) -> tuple[tuple[int, int], ...]:
        """Return (farmer, phone) of phones that were asked before then and have not answered."""
        ...
