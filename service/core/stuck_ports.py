"""What is asked of the database about texts that came to nothing by themselves, with the values that go to and fro."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class UnreadLine:
    """A text that came in and was set aside: reading it failed three times. `last3` ends its phone's number."""

    id: int
    text: str
    at: datetime
    last3: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FailedLine:
    """A text of ours that failed for good and that nobody has seen yet.

    Attributes:
        key: its day and its id.
        why: what the gateway said of it.
    """

    key: tuple[date, int]
    kind: str
    text: str
    why: str | None
    at: datetime
    expires_at: datetime
    farmer_id: int | None
    farmer: str | None
    district: str | None
    alert_id: int | None
    last3: str


class StuckRows(Protocol):
    """Texts that came to nothing, each bound to districts; None for all of them."""

    def unread(self, districts: Collection[int] | None, limit: int) -> tuple[UnreadLine, ...]: ...
    def failed(self, districts: Collection[int] | None, limit: int) -> tuple[FailedLine, ...]: ...
    def count(self, districts: Collection[int] | None) -> int: ...
    def find_unread(self, districts: Collection[int] | None, inbound_id: int) -> UnreadLine | None: ...
    def find_failed(self, districts: Collection[int] | None, key: tuple[date, int]) -> FailedLine | None: ...
    def read_again(self, inbound_id: int) -> None: ...
    def looked_at(self, inbound_id: int) -> None: ...
    def seen(self, key: tuple[date, int], at: datetime) -> None: ...
