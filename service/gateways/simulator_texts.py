"""Texts as the simulated network keeps them: in its journal and on its handsets."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Protocol

from service.core.gateway import carriable

# At most six octets of JSON a character, so that any text fits the 64 KiB line of the simulator's protocol.
MAX_CHARACTERS: Final = 10_000
# The most entries of an inbox, or events, that one question gets.
PAGE: Final = 200


@dataclass(frozen=True, kw_only=True, slots=True)
class TakenText:
    """A text the network has taken: one line of its journal, and all that is needed to restore the handsets.

    Attributes:
        our_ref: the sender's reference.
        attempt: which attempt at this text it was, counting refused ones.
        gateway_ref: the network's reference.
        destination: the phone's number in E.164 form.
        text: what the phone shows.
        parts: how many SMS it was.
        at: when it was taken, in the network's time.
        reached: whether the phone received it.
    """

    our_ref: str
    attempt: int
    gateway_ref: str
    destination: str = field(repr=False)
    text: str = field(repr=False)
    parts: int
    at: datetime
    reached: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class HandsetText:
    """A text in a phone's inbox; `place` counts from 1 in the order of arrival and never changes."""

    place: int
    at: datetime
    text: str = field(repr=False)
    parts: int


def check_typed(*, source: str, destination: str, text: str) -> None:
    """Refuse what no phone could send.

    Raises:
        ValueError: saying what is wrong, for the person who typed it.
    """
    if not (source and destination):
        raise ValueError("a text comes from a number and goes to a number")
    if len(text) > MAX_CHARACTERS:
        raise ValueError(f"a text has at most {MAX_CHARACTERS} characters")
    if not all(carriable(part) for part in (source, destination, text)):
        raise ValueError("half a surrogate pair cannot be put on the air")


class PracticeNetwork(Protocol):
    """The phones' side of the simulated network, for a practice phone on a page or in a terminal."""

    def inbox(self, number: str, after: int = 0) -> tuple[HandsetText, ...]:
        """Return what the phone received after place `after`, oldest first, at most `PAGE` entries.

        Raises:
            Unreachable: if the network could not be asked.
        """
        ...

    def text_in(self, *, source: str, destination: str, text: str) -> str:
        """Let the phone `source` text to `destination`; return the network's reference for that text.

        Raises:
            ValueError: if no phone could send this.
            NotSent: if the network was not there; the text did not leave the phone.
            AnswerLost: if nobody knows whether it did.
        """
        ...
