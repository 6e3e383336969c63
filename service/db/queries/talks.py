"""Conversations and the questions that wait for an officer."""

from datetime import datetime
from typing import Final, Unpack

from sqlalchemy import Connection, bindparam, insert, select, update

from flows.effects import Urgency
from flows.states import IDLE, Conversation, State
from service.core.columns import NewQuestion
from service.core.question_ports import QuestionState, Way
from service.db.queries.questions import IS_OPEN
from service.db.tables.speech import answer, conversation, question
from service.db.upsert import insert_or_update

_OPEN = select(conversation).where(
    conversation.c.phone_id == bindparam("phone_id"), conversation.c.expires_at > bindparam("now")
)
_CODE = select(question.c.id).where(question.c.code == bindparam("code"))
_ANSWERED_SINCE = (
    select(question.c.id)
    .join(answer, answer.c.question_id == question.c.id)
    .where(question.c.phone_id == bindparam("phone_id"), answer.c.way == Way.TEXT)
    .where(answer.c.at >= bindparam("since"), answer.c.taken_back_at.is_(None))
    .order_by(answer.c.at.desc(), answer.c.id.desc())
    .limit(1)
)
# What one phone sent and nobody understood, as long as a screen shows it at a glance.
_LONGEST_LINE: Final = 600


class Talks:
    """What is being talked about."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._put = insert_or_update(connection.dialect.name, conversation, "phone_id")

    def open_on(self, phone_id: int, now: datetime) -> Conversation:
        """Return a phone's conversation; one that has expired counts as none."""
        row = self._connection.execute(_OPEN, {"phone_id": phone_id, "now": now}).first()
        if row is None:
            return IDLE
        return Conversation(state=State(row.state), data=row.data, farmer_id=row.farmer_id, misses=row.misses)

    def put(self, phone_id: int, talk: Conversation, *, asked_by: str, expires_at: datetime) -> None:
        """Keep a phone's conversation in place of what it was."""
        self._connection.execute(
            self._put,
            {
                "phone_id": phone_id,
                "farmer_id": talk.farmer_id,
                "state": talk.state,
                "data": dict(talk.data),
                "asked_by": asked_by,
                "misses": talk.misses,
                "expires_at": expires_at,
            },
        )

    def code_is_free(self, code: str) -> bool:
        """Return whether no question has that code."""
        return self._connection.execute(_CODE, {"code": code}).first() is None

    def add_question(self, **values: Unpack[NewQuestion]) -> None:
        """Put a question on the officer's list."""
        self._connection.execute(insert(question), values)

    def help_waits(self, alert_id: int, phone_id: int) -> bool:
        """Return whether a phone's call for help under an alert waits for a person."""
        found = select(question.c.id).where(
            IS_OPEN, question.c.alert_id == alert_id, question.c.phone_id == phone_id
        )
        return self._connection.execute(found.limit(1)).first() is not None

    def waits(self, phone_id: int, text: str) -> bool:
        """Return whether a text of a phone, or the same one before it, waits for a person."""
        found = select(question.c.id).where(IS_OPEN, question.c.phone_id == phone_id, question.c.text == text)
        return self._connection.execute(found.limit(1)).first() is not None

    def add_words(self, phone_id: int, words: str) -> bool:
        """Add `words` to what a phone sent and nobody understood, and return whether such a line waits for a person.

        A line that is full stays as it is: the farmer's page shows every text.
        """
        found = select(question.c.id, question.c.text).where(
            IS_OPEN, question.c.phone_id == phone_id, question.c.urgency == Urgency.NOT_UNDERSTOOD
        )
        row = self._connection.execute(found.limit(1)).first()
        if row is not None and len(row.text) < _LONGEST_LINE:
            longer = update(question).where(question.c.id == row.id).values(text=f"{row.text} / {words}")
            self._connection.execute(longer)
        return row is not None

    def answered_since(self, phone_id: int, since: datetime) -> int | None:
        """Return the question of a phone that an officer answered by text last, None where none was since `since`."""
        return self._connection.execute(_ANSWERED_SINCE, {"phone_id": phone_id, "since": since}).scalar()

    def go_on(self, question_id: int, words: str) -> None:
        """Add what was texted after its answer to a question, which waits for a person again."""
        here = question.c.id == question_id
        text = self._connection.execute(select(question.c.text).where(here)).scalar_one()
        longer = text if len(text) >= _LONGEST_LINE else f"{text} / {words}"
        self._connection.execute(update(question).where(here).values(text=longer, state=QuestionState.OPEN))
