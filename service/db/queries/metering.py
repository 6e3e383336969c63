"""What is measured: figures that the database knows, so that it does not matter which process is asked."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy import Connection, bindparam, func, select

from service.core.caps import Sort
from service.core.kinds import MessageState
from service.core.model import InboundState
from service.core.wire_ports import Purse
from service.db.queries.budget import Budget
from service.db.queries.questions import IS_OPEN
from service.db.queries.unsettled import IN_DOUBT
from service.db.tables.meta import only
from service.db.tables.outbox import attempt, message
from service.db.tables.plots import reminder
from service.db.tables.speech import inbound, question

LATELY: Final = timedelta(minutes=5)
_MOST_TRIES: Final = 1000
_DUE = (
    select(message.c.priority, func.min(message.c.not_before).label("since"), func.count().label("texts"))
    .where(message.c.state == only(MessageState.DUE), message.c.not_before <= bindparam("now"))
    .group_by(message.c.priority)
)
_DOUBT = select(func.min(message.c.state_at).label("since"), func.count().label("texts")).where(IN_DOUBT)
_STATES = (
    select(message.c.state, func.count().label("texts"))
    .where(message.c.queued_on >= bindparam("day"))
    .group_by(message.c.state)
)
_REMINDERS = (
    select(reminder.c.state, func.count().label("reminders"))
    .where(reminder.c.due_on == bindparam("day"))
    .group_by(reminder.c.state)
)
_UNREAD = select(func.min(inbound.c.received_at).label("since"), func.count().label("texts")).where(
    inbound.c.state == only(InboundState.STORED)
)
_QUESTIONS = (
    select(question.c.urgency, func.min(question.c.asked_at).label("since"), func.count().label("questions"))
    .where(IS_OPEN)
    .group_by(question.c.urgency)
)
_TRIES = (
    select(attempt.c.began_at, attempt.c.ended_at, attempt.c.outcome)
    .where(attempt.c.reference >= bindparam("first"), attempt.c.outcome.is_not(None))
    .order_by(attempt.c.reference.desc())
    .limit(_MOST_TRIES)
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Waiting:
    """What waits: since when the oldest does, None where nothing waits, and how much."""

    since: datetime | None
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Metered:
    """The figures of one moment.

    Attributes:
        queues: texts whose time has come, by priority.
        doubts: texts in doubt.
        unread: texts that came in and are not read.
        questions: what waits for a person, by urgency.
        texts: how many texts of today and yesterday stand in each state.
        reminders: how many reminders of today stand in each state.
        seconds: how long the tries of the last minutes took, the newest thousand of them.
        outcomes: what came of those tries.
        purse: what has gone from today's budget.
    """

    queues: dict[int, Waiting]
    doubts: Waiting
    unread: Waiting
    questions: dict[str, Waiting]
    texts: dict[str, int]
    reminders: dict[str, int]
    seconds: list[float]
    outcomes: dict[str, int] = field(default_factory=dict)
    purse: Purse = field(default_factory=Purse)


class Metering:
    """Reads the figures."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def read(self, today: date, now: datetime, real_now: datetime) -> Metered:
        """Return the figures.

        Args:
            today: the programme's local day.
            now: service time, in which texts wait.
            real_now: real time, by which references are made.
        """
        ask = self._connection.execute
        first = _reference_of(real_now - LATELY)
        tries = ask(_TRIES, {"first": first}).all()
        outcomes: dict[str, int] = {}
        for one in tries:
            outcomes[one.outcome] = outcomes.get(one.outcome, 0) + 1
        return Metered(
            queues={
                row.priority: Waiting(since=row.since, count=row.texts) for row in ask(_DUE, {"now": now})
            },
            doubts=_waiting(*ask(_DOUBT).one()),
            unread=_waiting(*ask(_UNREAD).one()),
            questions={row.urgency: Waiting(since=row.since, count=row.questions) for row in ask(_QUESTIONS)},
            texts={row.state: row.texts for row in ask(_STATES, {"day": today - timedelta(days=1)})},
            reminders={row.state: row.reminders for row in ask(_REMINDERS, {"day": today})},
            seconds=sorted((one.ended_at - one.began_at).total_seconds() for one in tries),
            outcomes=outcomes,
            purse=Budget(self._connection).purse(Sort.DAY, today),
        )


def _waiting(since: datetime | None, count: int) -> Waiting:
    return Waiting(since=since, count=count)


def _reference_of(instant: datetime) -> str:
    """Return the least reference made at that instant: a UUIDv7 begins with its milliseconds (RFC 9562, 5.7)."""
    word = f"{int(instant.timestamp() * 1000):012x}"
    return f"{word[:8]}-{word[8:]}"
