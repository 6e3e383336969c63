"""Questions with what was done about each, as pages tell it."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from service.core.question_ports import Answer, Question, QuestionState
from service.use_cases.questions import last_of, may_reopen


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """One question.

    Attributes:
        answers: all that was done about it, what was taken back included.
        may_reopen: whether it can be opened again.
    """

    question: Question
    answers: tuple[Answer, ...]
    may_reopen: bool

    @property
    def is_open(self) -> bool:
        """Return whether it waits for a person."""
        return self.question.state is QuestionState.OPEN


def tell(questions: Collection[Question], answers: Collection[Answer], now: datetime) -> tuple[Asked, ...]:
    """Put questions together with what was done about them."""
    return tuple(
        _asked(one, tuple(done for done in answers if done.question_id == one.id), now) for one in questions
    )


def _asked(question: Question, answers: tuple[Answer, ...], now: datetime) -> Asked:
    last = last_of(answers)
    settled = question.state is not QuestionState.OPEN
    return Asked(
        question=question,
        answers=answers,
        may_reopen=settled and last is not None and may_reopen(last, now),
    )
