"""What is asked of the database about texts in doubt, with the values that go to and fro."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

# A reason that an officer gives by pressing a button; where it stands, the text was looked at.
LEFT_BY_OFFICER = "left as it is by an officer"


@dataclass(frozen=True, kw_only=True, slots=True)
class DoubtLine:
    """A text of which nobody knows whether it was sent.

    Attributes:
        key: its day and its id.
        district_id: that of its farmer; None for a text to somebody who has not joined.
        tries: how often it has been handed to the network.
        doubts: how often it has been in doubt.
        alert_over: whether it is of an alert that was called off or has expired; such a text never leaves again.
        looked_at: whether an officer has said that it may stay as it is.
    """

    key: tuple[date, int]
    kind: str
    text: str
    since: datetime
    expires_at: datetime
    policy: str
    tries: int
    doubts: int
    farmer_id: int | None
    farmer: str | None
    district_id: int | None
    district: str | None
    alert_id: int | None
    alert_over: bool
    last3: str
    looked_at: bool


class DoubtRows(Protocol):
    """Texts in doubt."""

    def lines(
        self, districts: Collection[int] | None, *, looked_at: bool, limit: int
    ) -> tuple[DoubtLine, ...]: ...
    def count(self, districts: Collection[int] | None, *, looked_at: bool) -> int: ...
    def find(self, key: tuple[date, int]) -> DoubtLine | None: ...
