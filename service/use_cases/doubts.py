"""What an officer can do about a text in doubt: send it again, or let it be.

Whoever sends it again may send it twice, and is told so. Letting it be changes nothing of what is known: it stays in
doubt in every count, it only leaves the list of what waits for a person.
"""

from datetime import date, datetime
from typing import Any, Protocol

from service.core.doubt_ports import LEFT_BY_OFFICER, DoubtLine, DoubtRows
from service.core.errors import Refused
from service.core.kinds import MessageState
from service.core.staff import Officer
from service.use_cases.audit import AuditEnd, note


class States(Protocol):
    """The outbox, as far as doubts need it."""

    def set_state(
        self, key: tuple[date, int], state: MessageState, at: datetime, *, why: str | None = None
    ) -> None:
        """Let a text stand in `state` since `at`."""
        ...

    def state_of(self, key: tuple[date, int]) -> MessageState:
        """Return where a text stands, and let nobody else change that before this work ends."""
        ...


class DoubtWork(Protocol):
    """A unit of work, as far as doubts need it."""

    @property
    def doubts(self) -> DoubtRows:
        """Texts in doubt."""
        ...

    @property
    def outbox(self) -> States:
        """Where texts stand."""
        ...

    @property
    def audit(self) -> AuditEnd:
        """The record of what officers did."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


class NoDoubt(Refused):
    """There is no such text in doubt, or none for this officer."""

    def __init__(self) -> None:
        """Say no more than that."""
        super().__init__("That text is not in doubt any more.")


def send_again(work: DoubtWork, officer: Officer, key: tuple[date, int], now: datetime) -> None:
    """Let a text in doubt be due again.

    Raises:
        NoDoubt: it is not in doubt any more, or not of this officer's districts.
        Refused: it is of no more use, or is closed.
    """
    line = _theirs(work, officer, key)
    if line.expires_at <= now:
        raise Refused("Its time has passed: it is of no more use to the farmer.")
    if line.alert_over:
        raise Refused("Its alert was called off or has expired: write a new one.")
    _settle(work, officer, line, MessageState.DUE, "sent again by an officer", "message.sent_again", now)


def leave(work: DoubtWork, officer: Officer, key: tuple[date, int], now: datetime) -> None:
    """Let a text in doubt be as it is.

    Raises:
        NoDoubt: it is not in doubt any more, or not of this officer's districts.
        Refused: it is closed.
    """
    line = _theirs(work, officer, key)
    _settle(work, officer, line, MessageState.IN_DOUBT, LEFT_BY_OFFICER, "message.left_in_doubt", now)


def _theirs(work: DoubtWork, officer: Officer, key: tuple[date, int]) -> DoubtLine:
    line = work.doubts.find(key)
    if line is None or not officer.covers(line.district_id):
        raise NoDoubt
    if work.outbox.state_of(key) is not MessageState.IN_DOUBT:
        raise NoDoubt
    if line.closed:
        raise Refused(f"This text is {line.why}. Nothing more is to be done.")
    return line


def _settle(  # noqa: PLR0917 - one deed with all that is kept of it
    work: DoubtWork,
    officer: Officer,
    line: DoubtLine,
    state: MessageState,
    why: str,
    action: str,
    now: datetime,
) -> None:
    # An at-least-once text would be sent again by itself: its wait begins anew, as for any doubt.
    work.outbox.set_state(line.key, state, now, why=why)
    detail: dict[str, Any] = {"kind": line.kind, "doubts": line.doubts}
    note(
        work, officer, action, f"message:{line.key[0].isoformat()}:{line.key[1]}", detail, at=work.audit.now()
    )
    work.commit()
