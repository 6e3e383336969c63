"""What is asked of the database about questions and calls for help, with the values that go to and fro."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any, Final, Protocol


class QuestionState(StrEnum):
    """Where a question stands."""

    OPEN = "open"
    """It waits for a person."""
    ANSWERED = "answered"
    """An officer has texted an answer."""
    CLOSED = "closed"
    """An officer has called, or has seen to it in another way; nothing was texted."""


class Way(StrEnum):
    """What an officer did about a question."""

    TEXT = "text"
    CALLED = "called"
    DONE = "done"


STATE_AFTER: Final = {
    Way.TEXT: QuestionState.ANSWERED,
    Way.CALLED: QuestionState.CLOSED,
    Way.DONE: QuestionState.CLOSED,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """A text that waits, or has waited, for a person.

    Attributes:
        code: the word by which farmers and officers name it.
        farmer_id: None where nobody knows who asked: a stranger, or one of several who share the phone.
        sharing: the names of all whom the phone speaks for.
        language: what the farmer reads; on a phone that is shared, what the first of them reads.
        zone: where they live.
        last3: the last digits of the phone it came from.
        stopped: whether that phone has said STOP.
        alert_id: the alert under which help was asked for.
        reading: what its text was read as; None where it was not, or is not kept any more.
    """

    id: int
    code: str
    text: str
    urgency: str
    asked_at: datetime
    state: QuestionState
    inbound_id: int
    phone_id: int
    last3: str
    stopped: bool
    farmer_id: int | None
    farmer: str | None
    sharing: str | None
    language: str | None
    district: str | None
    village: str | None
    zone: str | None
    alert_id: int | None
    reading: Mapping[str, Any] | None = None

    @property
    def said_in(self) -> str | None:
        """The language of its text, as far as its words tell."""
        return (self.reading or {}).get("language")


@dataclass(frozen=True, kw_only=True, slots=True)
class NewAnswer:
    """What an officer does about a question.

    Attributes:
        words: the officer's own words, where they are texted.
        message: the key of the text in which they leave.
        note: what the officer notes for others.
    """

    id: int
    question_id: int
    officer_id: int
    at: datetime
    way: Way
    words: str | None = None
    message: tuple[date, int] | None = None
    note: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """What an officer did about a question, and what became of it.

    Attributes:
        officer: who, by name.
        sent: where the text stands, if it was one.
        taken_back_by: who opened the question again, by name.
    """

    id: int
    question_id: int
    officer: str
    at: datetime
    way: Way
    words: str | None
    message: tuple[date, int] | None
    note: str | None
    sent: str | None
    taken_back_at: datetime | None
    taken_back_by: str | None


class QuestionRows(Protocol):
    """Questions, each bound to districts; None for all of them."""

    def find(self, districts: Collection[int] | None, code: str) -> Question | None: ...
    def answers(self, question_ids: Collection[int]) -> tuple[Answer, ...]: ...
    def settle(self, question_id: int, state: QuestionState) -> bool: ...
    def reopen(self, question_id: int) -> bool: ...
    def settle_unread(self, inbound_id: int) -> None: ...
    def keep_answer(self, new: NewAnswer) -> None: ...
    def take_back(self, answer_id: int, officer_id: int, at: datetime) -> None: ...
    def call_off(self, key: tuple[date, int], why: str, at: datetime) -> None: ...
    def number(self, phone_id: int) -> str | None: ...
