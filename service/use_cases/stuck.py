"""What an officer can do about texts that came to nothing: have them tried once more, or say that they were seen.

A farmer's text is set aside after three tries at reading it, so that those behind it go on; read again, it is answered
as if it had just come. A text of ours that failed for good is due once more, with the tries it has left and
at least one; if it fails again it comes back to the list.
"""

from datetime import date, datetime
from typing import Protocol

from service.core.errors import Refused
from service.core.kinds import MessageState
from service.core.question_ports import QuestionRows
from service.core.staff import Officer
from service.core.stuck_ports import FailedLine, StuckRows
from service.use_cases.audit import AuditEnd, note
from service.use_cases.doubts import States


class StuckWork(Protocol):
    """A unit of work, as far as such texts need it."""

    @property
    def stuck(self) -> StuckRows:
        """Texts that came to nothing."""
        ...

    @property
    def questions(self) -> QuestionRows:
        """What waits for a person: a text that could not be read stands there too."""
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


class NotStuck(Refused):
    """There is no such text, or none for this officer, or somebody has dealt with it."""

    def __init__(self) -> None:
        """Say no more than that."""
        super().__init__("That text waits for nobody any more: look at the list anew.")


def read_again(work: StuckWork, officer: Officer, inbound_id: int, _now: datetime) -> None:
    """Let a text that was set aside be read once more.

    Raises:
        NotStuck: it is not set aside any more, or not of this officer's districts.
    """
    _unread(work, officer, inbound_id)
    work.stuck.read_again(inbound_id)
    work.questions.settle_unread(inbound_id)
    _keep(work, officer, "inbound.read_again", f"inbound:{inbound_id}")


def look_at(work: StuckWork, officer: Officer, inbound_id: int, _now: datetime) -> None:
    """Say that a text that cannot be read was seen.

    Raises:
        NotStuck: it is not set aside any more, or not of this officer's districts.
    """
    _unread(work, officer, inbound_id)
    work.stuck.looked_at(inbound_id)
    work.questions.settle_unread(inbound_id)
    _keep(work, officer, "inbound.looked_at", f"inbound:{inbound_id}")


def send_again(work: StuckWork, officer: Officer, key: tuple[date, int], now: datetime) -> None:
    """Let a text that failed be due again.

    Raises:
        NotStuck: it has not failed, or not to a farmer of this officer's districts.
        Refused: it is of no more use.
    """
    line = _failed(work, officer, key)
    if line.expires_at <= now:
        raise Refused("Its time has passed: it is of no more use to the farmer. Mark it as seen.")
    work.outbox.set_state(key, MessageState.DUE, now, why="tried again by an officer")
    _keep(work, officer, "message.tried_again", _word(key))


def see(work: StuckWork, officer: Officer, key: tuple[date, int], now: datetime) -> None:
    """Say that it was seen that a text failed.

    Raises:
        NotStuck: it has not failed, or not to a farmer of this officer's districts.
    """
    _failed(work, officer, key)
    work.stuck.seen(key, now)
    _keep(work, officer, "message.failure_seen", _word(key))


def _unread(work: StuckWork, officer: Officer, inbound_id: int) -> None:
    if work.stuck.find_unread(officer.districts, inbound_id) is None:
        raise NotStuck


def _failed(work: StuckWork, officer: Officer, key: tuple[date, int]) -> FailedLine:
    line = work.stuck.find_failed(officer.districts, key)
    if line is None or work.outbox.state_of(key) is not MessageState.FAILED:
        raise NotStuck
    return line


def _keep(work: StuckWork, officer: Officer, action: str, subject: str) -> None:
    note(work, officer, action, subject, {}, at=work.audit.now())
    work.commit()


def _word(key: tuple[date, int]) -> str:
    return f"message:{key[0].isoformat()}:{key[1]}"
