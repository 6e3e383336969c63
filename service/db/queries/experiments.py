"""Experiments, and what became of the texts in their arms."""

from datetime import date, datetime, timedelta
from typing import Any, Final

from sqlalchemy import Connection, Row, and_, bindparam, func, insert, or_, select, update

from service.core.cohorts import Window
from service.core.experiments import DONE_WITHIN, Arm, Experiment, FirstTexts
from service.core.kinds import SENT
from service.core.model import ReminderState
from service.db.queries.reporting import NOT_DONE
from service.db.queries.scope import within
from service.db.tables.experiments import experiment
from service.db.tables.outbox import message
from service.db.tables.people import farmer
from service.db.tables.plots import reminder

_A_DAY: Final = timedelta(days=1)
_RUNNING: Final = (
    select(experiment)
    .where(
        experiment.c.began_on <= bindparam("on"),
        or_(experiment.c.ends_on.is_(None), experiment.c.ends_on >= bindparam("on")),
    )
    .order_by(experiment.c.id)
)


class Experiments:
    """Reads and writes experiments."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def every(self) -> tuple[Experiment, ...]:
        """Return every experiment there was, the newest first."""
        return tuple(
            map(_value, self._connection.execute(select(experiment).order_by(experiment.c.id.desc())))
        )

    def running(self, on: date) -> tuple[Experiment, ...]:
        """Return those whose days hold `on`."""
        return tuple(map(_value, self._connection.execute(_RUNNING, {"on": on})))

    def add(self, new: Experiment, officer_id: int | None) -> None:
        """Keep a new experiment."""
        values = {
            name: getattr(new, name) for name in ("id", "topic", "percent", "salt", "began_on", "ends_on")
        }
        self._connection.execute(insert(experiment).values(**values, officer_id=officer_id))

    def end(self, experiment_id: int, on: date) -> None:
        """Let the day before `on` be an experiment's last one."""
        ended = update(experiment).where(experiment.c.id == experiment_id)
        self._connection.execute(ended.values(ends_on=on - _A_DAY))

    def first_texts(self, tried: Experiment, window: Window) -> dict[Arm, FirstTexts]:
        """Return for each arm how many farmers had a text whose seven days are over, and who did a job of it in them.

        Each farmer counts once, by the first text of the experiment that left.
        """
        firsts = (
            select(message.c.arm, message.c.farmer_id, func.min(message.c.queued_on).label("day"))
            .join(farmer, farmer.c.id == message.c.farmer_id)
            .where(
                message.c.arm.in_([tried.mark(arm) for arm in Arm]),
                message.c.queued_on <= window.last - DONE_WITHIN,
                message.c.state.in_(SENT),
                within(window.districts),
            )
            .group_by(message.c.arm, message.c.farmer_id)
            .subquery()
        )
        done = and_(
            reminder.c.message_day == message.c.queued_on,
            reminder.c.message_id == message.c.id,
            reminder.c.state == ReminderState.ANSWERED,
            reminder.c.answer != NOT_DONE,
        )
        found = (
            select(
                firsts.c.arm,
                message.c.not_before.label("sent_at"),
                func.min(reminder.c.answered_at, type_=reminder.c.answered_at.type).label("done_at"),
            )
            .join(
                message,
                and_(
                    message.c.arm == firsts.c.arm,
                    message.c.queued_on == firsts.c.day,
                    message.c.farmer_id == firsts.c.farmer_id,
                ),
            )
            .outerjoin(reminder, done)
            .group_by(firsts.c.arm, firsts.c.farmer_id, message.c.not_before)
        )
        rows = self._connection.execute(found).all()
        return {arm: _counted(rows, tried.mark(arm)) for arm in Arm}


def _counted(rows: Any, mark: str) -> FirstTexts:
    those = [row for row in rows if row.arm == mark]
    return FirstTexts(farmers=len(those), done=sum(_in_time(row.sent_at, row.done_at) for row in those))


def _in_time(sent_at: datetime, done_at: datetime | None) -> bool:
    return done_at is not None and done_at < sent_at + DONE_WITHIN


def _value(row: Row[Any]) -> Experiment:
    return Experiment(
        id=row.id,
        topic=row.topic,
        percent=row.percent,
        salt=row.salt,
        began_on=row.began_on,
        ends_on=row.ends_on,
    )
