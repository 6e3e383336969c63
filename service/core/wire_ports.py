"""What the use cases of the wire ask of the database: receipts, the budget, parts of long texts and the guards."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Protocol

from service.core.gateway import Progress, Stage


@dataclass(frozen=True, kw_only=True, slots=True)
class Purse:
    """What has gone from one purse of the budget: parts of texts under way, and parts that are paid."""

    reserved: int = 0
    spent: int = 0

    @property
    def used(self) -> int:
        """Return how many parts are no longer to be had."""
        return self.reserved + self.spent


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What a receipt has told: of the whole text, or of one of its parts."""

    stage: Stage
    part: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class HeldPart:
    """One part of a long text, held until the others are there."""

    gateway: str
    phone_id: int
    part_ref: str
    total: int
    number: int
    message_ref: str
    raw: bytes = field(repr=False)
    received_at: datetime
    stored_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class PartSet:
    """Names the parts that belong together; a sender's parts never mix with another's."""

    gateway: str
    phone_id: int
    part_ref: str
    total: int


class Replied(StrEnum):
    """What became of the answer to a text that came in; kept with the text, and what the guards count."""

    COUNTED = "counted"
    """Answered; it counts towards the limits."""
    UNPARSED = "unparsed"
    """Answered although it was not understood; it counts too."""
    DIALOGUE = "dialogue"
    """Answered as an answer to what we had asked; we bound those ourselves."""
    EXEMPT = "exempt"
    """Answered whatever the limits: STOP, an emergency."""
    NOTICE = "notice"
    """Answered with the one notice that no more is answered, or that an officer will look."""
    MUTED = "muted"
    """Not answered: it begins a day of silence, since the same text came again and again."""
    SILENT = "silent"
    """Not answered: beyond a limit."""
    NOTHING = "nothing"
    """There was nothing to answer."""


class Receipts(Protocol):
    """What networks have said of texts."""

    def keep(self, gateway: str, event: Progress, stored_at: datetime) -> tuple[date, int] | None: ...
    def parked(self, gateway: str, gateway_ref: str, key: tuple[date, int]) -> tuple[Told, ...]: ...
    def all_parts_delivered(self, key: tuple[date, int]) -> bool: ...
    def let_go(self, before: datetime) -> int: ...


class Budget(Protocol):
    """What may still be paid for."""

    def reserve(self, scope: str, day: date, parts: int, cap: int | None) -> bool: ...
    def spend(self, scope: str, day: date, parts: int) -> None: ...
    def give_back(self, scope: str, day: date, parts: int) -> None: ...
    def spend_all_reserved(self) -> None: ...
    def purse(self, scope: str, day: date) -> Purse: ...


class Parts(Protocol):
    """Parts of long texts, held until all are there."""

    def hold(self, part: HeldPart) -> bool: ...
    def held(self, one: PartSet) -> tuple[HeldPart, ...]: ...
    def let_go(self, one: PartSet) -> None: ...
    def overdue(self, before: datetime) -> tuple[PartSet, ...]: ...


class Guards(Protocol):
    """What the guards count: how often, and with what, a phone was answered."""

    def replied_since(self, phone_id: int, since: datetime, *what: Replied) -> int: ...
    def same_text_replied(self, phone_id: int, text_hash: bytes, since: datetime) -> int: ...
    def said_to(self, phone_id: int, since: datetime) -> tuple[str, ...]: ...
    def stored_since(self, phone_id: int, since: datetime) -> int: ...
    def take_reply_slot(self, minute: datetime, most: int) -> bool: ...
    def mark_replied(self, inbound_id: int, what: Replied, at: datetime) -> None: ...


class Statistics(Protocol):
    """What the database's planner knows of its tables."""

    def sizes(self) -> dict[str, int]: ...
    def renew(self) -> None: ...


class Hooks(Protocol):
    """What was posted to us, so that nothing has an effect twice."""

    def seen(self, gateway: str, webhook_id: str, at: datetime) -> bool: ...
    def let_go(self, before: datetime) -> int: ...
