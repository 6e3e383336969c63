"""Reminders as a farmer's jobs: which are open, which number they have, and how they end."""

from collections.abc import Collection, Sequence
from datetime import date, datetime
from typing import Any, Unpack

from sqlalchemy import (
    Connection,
    Row,
    and_,
    bindparam,
    case,
    distinct,
    func,
    insert,
    select,
    tuple_,
    update,
)

from service.core.columns import NewDone
from service.core.kinds import MessageState
from service.core.model import Reminder, ReminderKey, ReminderState
from service.core.saved import SavedJobs
from service.db.queries.by_plot import SETTLED, WAITING, either
from service.db.queries.unsent import UNSENT, WAITS
from service.db.tables.outbox import message
from service.db.tables.plots import done_report, plot, reminder
from service.db.tables.speech import inbound

_KEY = and_(
    reminder.c.due_on == bindparam("key_due_on"),
    reminder.c.task == bindparam("key_task"),
    reminder.c.plot_id == bindparam("key_plot_id"),
    reminder.c.revision == bindparam("key_revision"),
)
SET = (
    update(reminder)
    .where(_KEY)
    .values(
        state=bindparam("new_state"),
        why=bindparam("new_why"),
        message_day=bindparam("new_message_day"),
        message_id=bindparam("new_message_id"),
        place=bindparam("new_place"),
    )
)
_ANSWER = (
    update(reminder)
    .where(_KEY)
    .values(
        state=ReminderState.ANSWERED,
        answer=bindparam("new_answer"),
        answered_at=bindparam("new_answered_at"),
    )
)
_PUT_OFF = update(reminder).where(_KEY).values(nudged_on=bindparam("new_nudged_on"))
_PLACE = update(reminder).where(_KEY).values(place=bindparam("new_place"))
_OPEN = (
    select(reminder, plot.c.planted_on, plot.c.traits, plot.c.mulch_kind, plot.c.elevation_m, plot.c.plants)
    .join(plot, plot.c.id == reminder.c.plot_id)
    .where(
        plot.c.farmer_id == bindparam("farmer_id"),
        plot.c.live,
        either(reminder.c.plot_id == plot.c.id),
        reminder.c.revision == plot.c.revision,
        reminder.c.due_on >= bindparam("since"),
        reminder.c.due_on <= bindparam("on"),
        reminder.c.state.in_((ReminderState.DUE, ReminderState.TEXTED)),
    )
    .order_by(reminder.c.due_on.desc())
)
_REOPEN = (
    update(reminder)
    .where(_KEY)
    .values(
        # A job that was done before it was texted waits for its text again.
        state=case((reminder.c.message_id.is_(None), ReminderState.DUE), else_=ReminderState.TEXTED),
        answer=None,
        answered_at=None,
    )
)
_same_text = done_report.alias()
_TASKS_IN_TEXT = (
    select(func.count(distinct(_same_text.c.task)))
    .where(_same_text.c.inbound_id == done_report.c.inbound_id, _same_text.c.voided_by.is_(None))
    .scalar_subquery()
)
_ANSWERED_PLACES = select(reminder.c.place).where(
    reminder.c.plot_id.in_(select(plot.c.id).where(plot.c.farmer_id == bindparam("farmer_id"))),
    reminder.c.place.is_not(None),
    reminder.c.state == ReminderState.ANSWERED,
)
_LAST_DONE = (
    select(
        done_report.c.id.label("report_id"),
        done_report.c.at,
        _TASKS_IN_TEXT.label("tasks"),
        reminder,
        plot.c.planted_on,
        plot.c.traits,
        plot.c.mulch_kind,
        plot.c.elevation_m,
        plot.c.plants,
    )
    .join(plot, plot.c.id == done_report.c.plot_id)
    .join(inbound, inbound.c.id == done_report.c.inbound_id)
    .join(
        reminder,
        and_(
            reminder.c.due_on == done_report.c.due_on,
            reminder.c.task == done_report.c.task,
            reminder.c.plot_id == done_report.c.plot_id,
            reminder.c.revision == done_report.c.revision,
        ),
    )
    .where(
        done_report.c.plot_id.in_(bindparam("plot_ids", expanding=True)),
        inbound.c.phone_id == bindparam("phone_id"),
        done_report.c.at >= bindparam("since"),
        done_report.c.voided_by.is_(None),
    )
    .order_by(done_report.c.at.desc(), done_report.c.id.desc())
    .limit(1)
)


def key_values(key: ReminderKey) -> dict[str, Any]:
    """Return a key as the parameters of a statement."""
    return {
        "key_due_on": key.due_on,
        "key_task": key.task,
        "key_plot_id": key.plot_id,
        "key_revision": key.revision,
    }


class Reminders:
    """What a farmer was, is or will be reminded of."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def open_for(self, farmer_id: int, on: date, since: date) -> tuple[Reminder, ...]:
        """Return a farmer's open reminders due from `since` to `on`, the newest first."""
        values = {"farmer_id": farmer_id, "on": on, "since": since}
        return tuple(_reminder(row) for row in self._connection.execute(_OPEN, values))

    def place(self, farmer_id: int, places: Sequence[tuple[ReminderKey, int]]) -> None:
        """Give reminders their number in the farmer's list; whatever had one of these numbers before loses it."""
        plots = select(plot.c.id).where(plot.c.farmer_id == farmer_id)
        numbers = {place for _, place in places}
        self._connection.execute(
            update(reminder)
            .where(reminder.c.plot_id.in_(plots), reminder.c.place.in_(numbers))
            .values(place=None)
        )
        if places:
            self._connection.execute(
                _PLACE, [{**key_values(key), "new_place": place} for key, place in places]
            )

    def mark_answered(self, key: ReminderKey, answer: str, at: datetime) -> None:
        """Keep that a reminder was answered, and with what."""
        self._connection.execute(_ANSWER, {**key_values(key), "new_answer": answer, "new_answered_at": at})

    def put_off(self, key: ReminderKey, on: date) -> None:
        """Keep that the farmer has said of a reminder that it is not done yet: it is not asked after again."""
        self._connection.execute(_PUT_OFF, {**key_values(key), "new_nudged_on": on})

    def answered_places(self, farmer_id: int) -> frozenset[int]:
        """Return the numbers of a farmer's list whose jobs are answered."""
        return frozenset(self._connection.execute(_ANSWERED_PLACES, {"farmer_id": farmer_id}).scalars())

    def answered_with(
        self, plot_id: int, task: str, answer: str, since: date, until: date
    ) -> tuple[ReminderKey, ...]:
        """Return the reminders of one task, due from `since` to `until`, that were answered with `answer`."""
        rows = self._connection.execute(
            select(reminder).where(
                reminder.c.plot_id == plot_id,
                SETTLED,
                reminder.c.task == task,
                reminder.c.answer == answer,
                reminder.c.due_on >= since,
                reminder.c.due_on <= until,
            )
        )
        return tuple(_key(row) for row in rows)

    def reopen(self, key: ReminderKey) -> None:
        """Let a reminder be open again as if it had not been answered."""
        self._connection.execute(_REOPEN, key_values(key))

    def add_done(self, **values: Unpack[NewDone]) -> None:
        """Keep a done report."""
        self._connection.execute(insert(done_report).values(**values))

    def last_done(self, phone_id: int, plot_ids: Sequence[int], since: datetime) -> SavedJobs | None:
        """Return what a phone reported as done last, since then, of these plots."""
        values = {"phone_id": phone_id, "plot_ids": list(plot_ids), "since": since}
        row = self._connection.execute(_LAST_DONE, values).first()
        if row is None:
            return None
        return SavedJobs(report_id=row.report_id, first=_reminder(row), tasks=row.tasks, at=row.at)

    def undo_done(self, report_id: int, inbound_id: int) -> None:
        """Take back all that was reported in the same text; its jobs are open again."""
        text_id = select(done_report.c.inbound_id).where(done_report.c.id == report_id)
        said_in = self._connection.execute(text_id).scalar_one()
        reports = self._connection.execute(
            update(done_report)
            .where(done_report.c.inbound_id == said_in)
            .values(voided_by=inbound_id)
            .returning(done_report)
        ).all()
        for report in reports:
            self.reopen(_key(report))

    def end_waiting(self, plot_id: int, state: ReminderState, why: str) -> None:
        """End the reminders of a plot that have not been texted."""
        self._connection.execute(
            update(reminder).where(reminder.c.plot_id == plot_id, WAITING).values(state=state, why=why)
        )

    def end_unknown(self, tasks: Collection[str], why: str) -> int:
        """End the open reminders of jobs that are none of `tasks`; return how many. It walks all reminders."""
        ended = self._connection.execute(
            update(reminder)
            .where(
                reminder.c.task.not_in(sorted(tasks)),
                reminder.c.state.in_((ReminderState.DUE, ReminderState.TEXTED)),
            )
            .values(state=ReminderState.CANCELLED, why=why, place=None)
        )
        return ended.rowcount

    def call_off_unsent(self, plot_id: int, why: str, at: datetime) -> int:
        """Call off the texts to be sent that are about jobs of this plot alone, and those jobs with them.

        Return how many texts those were. One that is claimed at this moment leaves, and its jobs stay as texted.
        """
        theirs = select(reminder.c.message_day, reminder.c.message_id).where(
            reminder.c.plot_id == plot_id, UNSENT
        )
        key = tuple_(message.c.queued_on, message.c.id)
        found = self._connection.execute(
            update(message)
            .where(WAITS, key.in_([tuple(row) for row in self._connection.execute(theirs)]))
            .values(state=MessageState.CANCELLED, state_at=at, why=why)
            .returning(message.c.queued_on, message.c.id)
        ).all()
        of_text = tuple_(reminder.c.message_day, reminder.c.message_id).in_([tuple(row) for row in found])
        self._connection.execute(
            update(reminder)
            .where(reminder.c.plot_id == plot_id, SETTLED, reminder.c.state == ReminderState.TEXTED, of_text)
            .values(state=ReminderState.CANCELLED, why=why, message_day=None, message_id=None, place=None)
        )
        return len(found)


def _key(row: Row[Any]) -> ReminderKey:
    return ReminderKey(due_on=row.due_on, task=row.task, plot_id=row.plot_id, revision=row.revision)


def _reminder(row: Row[Any]) -> Reminder:
    return Reminder(
        key=_key(row),
        ordinal=row.ordinal,
        state=ReminderState(row.state),
        place=row.place,
        planted_on=row.planted_on,
        traits=row.traits,
        mulch_kind=row.mulch_kind,
        elevation_m=row.elevation_m,
        plants=row.plants,
    )
