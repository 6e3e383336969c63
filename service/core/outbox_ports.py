"""What the use cases ask of the database about texts on their way out."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Protocol

from service.core.kinds import Kind, MessageState
from service.core.model import Candidate, NewMessage


class Outbox(Protocol):
    """Texts on their way out."""

    def queue(
        self, messages: Iterable[NewMessage], *, gateway: str, kinds: Mapping[str, Kind], at: datetime
    ) -> None: ...
    def set_state(
        self,
        key: tuple[date, int],
        state: MessageState,
        at: datetime,
        *,
        why: str | None = None,
        not_before: datetime | None = None,
        more_tries: int = 0,
        more_doubts: int = 0,
    ) -> None: ...
    def state_of(self, key: tuple[date, int]) -> MessageState: ...
    def left_since(self, candidate: Candidate, kinds: tuple[str, ...], since: datetime) -> bool: ...
    def cancel_pushed(
        self, phone_id: int, at: datetime, *, farmer_id: int | None = None, why: str = "the phone has stopped"
    ) -> None: ...


class Claims(Protocol):
    """Texts taken for sending, and the tries at them."""

    def waiting(self, now: datetime) -> tuple[int, ...]: ...
    def candidates(self, now: datetime, priority: int, most: int) -> tuple[Candidate, ...]: ...
    def begin(
        self, key: tuple[date, int], number: int, reference: str, gateway: str, at: datetime
    ) -> str: ...
    def end(
        self,
        reference: str,
        outcome: str,
        at: datetime,
        *,
        code: str | None = None,
        gateway_ref: str | None = None,
    ) -> None: ...
