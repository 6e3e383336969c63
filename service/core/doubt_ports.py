"""What is asked of the database about texts in doubt, with the values that go to and fro."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from service.core.kinds import Policy

# A reason that an officer gives by pressing a button; where it stands, the text was looked at.
LEFT_BY_OFFICER = "left as it is by an officer"
# How the reason begins of a text that may have left before and leaves no more, like one whose phone has stopped: its
# doubt is its end.
NOT_AGAIN = "not sent again: "


@dataclass(frozen=True, kw_only=True, slots=True)
class Doubt:
    """A text of which nobody knows whether it was sent, with what decides whether it is sent again."""

    queued_on: date
    id: int
    kind: str
    policy: Policy
    tries: int
    since: datetime
    expires_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class DoubtLine:
    """A text of which nobody knows whether it was sent.

    Attributes:
        key: its day and its id.
        district_id: that of its farmer; None for a text to somebody who has not joined.
        tries: how often it has been handed to the network.
        doubts: how often it has been in doubt.
        alert_over: whether it is of an alert that was called off or has expired; such a text never leaves again.
        why: the reason kept with it.
        looked_at: whether nobody need look at it: an officer has said that it may stay as it is, or it is closed.
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
    why: str | None
    looked_at: bool

    @property
    def closed(self) -> bool:
        """Whether it leaves no more, whatever is pressed."""
        return (self.why or "").startswith(NOT_AGAIN)


class DoubtRows(Protocol):
    """Texts in doubt."""

    def lines(
        self, districts: Collection[int] | None, *, looked_at: bool, limit: int
    ) -> tuple[DoubtLine, ...]: ...
    def count(self, districts: Collection[int] | None, *, looked_at: bool) -> int: ...
    def find(self, key: tuple[date, int]) -> DoubtLine | None: ...
    def that_may_go(self) -> tuple[Doubt, ...]: ...
    def begin_for_all_submitting(self, at: datetime) -> int: ...
    def close_stopped(self) -> None: ...
