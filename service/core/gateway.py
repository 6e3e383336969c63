"""The port through which texts leave for phones and come back: values, errors and one small protocol.

A gateway is one way out: a simulated network, a modem, an operator's link. Nobody can know of a text whose
answer was lost whether it left (two generals), so a send ends in one of four ways, and a caller has to treat
all four:

    Accepted     the network has it; receipts follow as `Progress`
    Refused      the network does not have it; the reason's class says what to do next
    NotSent      nothing left us; sending again cannot make a second text
    AnswerLost   bytes left and no answer came: the text is in doubt until a receipt speaks of `our_ref`

GatewayError
├── NotSent        nothing left us
├── AnswerLost     bytes left, no answer
└── Unreachable    anything but a send found no gateway; asking again does no harm
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final, Protocol

from service.core.errors import TrusslineError

# ITU-T E.164 section 6.1: at most fifteen digits, country code first; no country code begins with zero.
_E164: Final = re.compile(r"\+[1-9][0-9]{6,14}")
# One octet counts the parts of a text, 3GPP TS 23.040 section 9.2.3.24.1.
MOST_PARTS: Final = 255


class GatewayError(TrusslineError):
    """A gateway could not do what was asked of it."""


class NotSent(GatewayError):
    """Nothing left us: the text can be sent again, here or elsewhere, without risk of a second one."""


class AnswerLost(GatewayError):
    """Bytes left and no answer came back: nobody knows yet whether the text was sent."""


class Unreachable(GatewayError):
    """The gateway could not be asked for events or told that they are kept; both may be repeated."""


class RefusalClass(StrEnum):
    """What a refusal asks of the sender."""

    PACE = "pace"
    """Slow down; the attempt does not count."""
    TEMPORARY = "temporary"
    """Try again later, as long as the text is useful."""
    PERMANENT = "permanent"
    """Never send this text to this number again."""
    LINK = "link"
    """The fault is in the link or its settings: stop it, call a person, keep the queue."""


class Stage(StrEnum):
    """How far a text has come in the network, in the words of our message states."""

    ACCEPTED = "accepted"
    ENROUTE = "enroute"
    DELIVERED = "delivered"
    UNDELIVERABLE = "undeliverable"
    EXPIRED = "expired"
    REJECTED = "rejected"
    DELETED = "deleted"
    UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True, slots=True)
class OutgoingText:
    """One text that is to leave.

    Attributes:
        our_ref: our own reference, the same for every attempt at the same text.
        destination: the phone's number in E.164 form; it never shows in a repr.
        text: what the phone shall show, unchanged.
        valid_until: aware instant after which the network must not deliver any more.

    Raises:
        ValueError: if built with anything that no network could carry.
    """

    our_ref: str
    destination: str = field(repr=False)
    text: str = field(repr=False)
    valid_until: datetime

    def __post_init__(self) -> None:
        """Refuse what no network could carry, so that adapters need not look again."""
        if not self.our_ref:
            raise ValueError("a text needs our_ref: without it a receipt cannot be matched to it")
        if not _E164.fullmatch(self.destination):
            raise ValueError(f"text {self.our_ref}: the destination is not in E.164 form")
        if not carriable(self.text):
            raise ValueError(f"text {self.our_ref}: half a surrogate pair cannot be put on the air")
        if self.valid_until.tzinfo is None:
            raise ValueError(f"text {self.our_ref}: valid_until must carry its zone")


def carriable(text: str) -> bool:
    """Return whether a text can be put on the air at all: half a surrogate pair has no encoding."""
    return not any("\ud800" <= char <= "\udfff" for char in text)


@dataclass(frozen=True, kw_only=True, slots=True)
class Accepted:
    """The network has taken the text over, under its own reference and as that many parts."""

    gateway_ref: str
    parts: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Refused:
    """The network has not taken the text; `code` is its own word for why, `detail` is for a person.

    `retry_after` is how long the network asks to be left alone, where it says so.
    """

    reason: RefusalClass
    code: str
    detail: str
    retry_after: timedelta | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PartOf:
    """Which part of a long text one text is (3GPP TS 23.040 section 9.2.3.24.1).

    Attributes:
        ref: the sender's reference for the whole, often of eight bits only and so used again and again.
        number: the part's place, from 1.
        total: how many parts there are.

    Raises:
        ValueError: if there is no such part.
    """

    ref: str
    number: int
    total: int

    def __post_init__(self) -> None:
        """Refuse a part that no whole has."""
        if not 1 <= self.number <= self.total <= MOST_PARTS:
            raise ValueError(f"part {self.number} of {self.total} cannot be: a text has at most {MOST_PARTS}")


@dataclass(frozen=True, kw_only=True, slots=True)
class InboundText:
    """A text that a phone sent to us.

    Attributes:
        event_id: what to acknowledge once the text is safely stored.
        message_ref: the network's reference, the same however often this text is handed over.
        source: the sender as the network gives it: a number in E.164 form, a short code or letters.
        destination: the number or short code that was written to.
        text: what was written, unchanged.
        received_at: aware instant at which the network received it.
        part: which part of a longer text this is, where the network hands its parts over one by one.
    """

    event_id: str
    message_ref: str
    source: str = field(repr=False)
    destination: str
    text: str = field(repr=False)
    received_at: datetime
    part: PartOf | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Progress:
    """A receipt: how far one text of ours has come.

    Attributes:
        event_id: what to acknowledge once the receipt is safely stored.
        our_ref: our reference, None where the network does not give it back.
        gateway_ref: the network's reference, as in `Accepted`; it may be heard here before the answer is.
        stage: how far the text has come.
        code: the network's own word for it, kept for people.
        at: aware instant at which the network says it happened.
        final: whether the network will say no more of this text.
        part: the part it speaks of, from 1, where a network tells of each; None if of the whole text.
    """

    event_id: str
    our_ref: str | None
    gateway_ref: str
    stage: Stage
    code: str
    at: datetime
    final: bool
    part: int | None = None


Event = InboundText | Progress


@dataclass(frozen=True, kw_only=True, slots=True)
class Limits:
    """How fast a gateway may be used: texts per second, and texts in flight before an answer (the window)."""

    per_second: float
    window: int

    def __post_init__(self) -> None:
        """Refuse limits with which nothing could ever be sent."""
        if self.per_second <= 0 or self.window < 1:
            raise ValueError(f"limits {self.per_second}/s, window {self.window} would let nothing through")


@dataclass(frozen=True, kw_only=True, slots=True)
class Health:
    """Whether texts could leave now, and a sentence for a person on why not."""

    up: bool
    detail: str


class Gateway(Protocol):
    """One way out to phones. Its methods may be called from several threads."""

    @property
    def name(self) -> str:
        """The name under which this gateway is configured; references are unique within it."""
        ...

    @property
    def limits(self) -> Limits:
        """How fast this gateway may be used."""
        ...

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Hand one text over and wait for the answer.

        Raises:
            NotSent: if nothing left us.
            AnswerLost: if bytes left and no answer came.
        """
        ...

    def events(self, limit: int) -> Sequence[Event]:
        """Return up to `limit` waiting receipts and inbound texts, oldest first, without waiting for any.

        What is not acknowledged is returned again, so an event may be seen more than once.

        Raises:
            Unreachable: if the gateway could not be asked.
        """
        ...

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Say that these events are safely stored here; unknown and repeated ids are ignored.

        Raises:
            Unreachable: if the gateway could not be told; the events will be returned again.
        """
        ...

    def health(self) -> Health:
        """Return whether texts could leave now. It never raises."""
        ...

    def close(self) -> None:
        """Let go of the link. Closing twice is as closing once; a send afterwards raises NotSent."""
        ...
