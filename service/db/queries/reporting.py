"""What a programme did in some days: counts for the report, of one officer's districts.

Each question goes by an index that begins with the day, or looks at the farmers of the districts; none walks through
all the texts, jobs or weights there are (`tests/service/db/test_reporting.py` asks the database for its plans).
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Select, and_, case, distinct, exists, func, or_, select

from flows.effects import Urgency
from flows.facts import FarmerState
from service.core.alert_states import AlertState
from service.core.kinds import NEVER_LEFT, MessageState
from service.core.model import HarvestState, ReminderState
from service.core.question_ports import QuestionState
from service.db.queries.scope import Districts, within
from service.db.tables.alerts import alert, alert_district
from service.db.tables.collections import collection, delivery
from service.db.tables.outbox import message
from service.db.tables.people import farmer, farmer_phone
from service.db.tables.plots import harvest, plot, reminder
from service.db.tables.speech import question

# Nothing is paid for what has not left.
_UNPAID: Final = (*NEVER_LEFT, MessageState.DUE)
_BEGUN: Final = (AlertState.SENDING, AlertState.PAUSED, AlertState.DONE)
# An answer is about nobody in particular: it is told of whoever of the phone's farmers was added first.
_OWNER: Final = func.coalesce(
    message.c.farmer_id,
    select(func.min(farmer_phone.c.farmer_id))
    .where(farmer_phone.c.phone_id == message.c.phone_id, farmer_phone.c.until.is_(None))
    .scalar_subquery(),
)
_CALLS: Final = (Urgency.EMERGENCY, Urgency.NEED_HELP)
# Words for "there was nothing to do here" are an answer and no work.
NOT_DONE: Final = "not_needed"


@dataclass(frozen=True, kw_only=True, slots=True)
class Days:
    """Local days from `first` to `last`, both of them in, and the instants at which they begin and have ended."""

    first: date
    last: date
    begins: datetime
    ends: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class TextsOut:
    """Texts of one kind that stand alike; `parts` is what they cost."""

    kind: str
    state: MessageState
    texts: int
    parts: int


@dataclass(frozen=True, kw_only=True, slots=True)
class FarmersNow:
    """Farmers as they stand at this moment; `new` are those who were added in the days of the report."""

    active: int
    paused: int
    pending: int
    stopped: int
    new: int


@dataclass(frozen=True, kw_only=True, slots=True)
class JobsAsked:
    """Jobs that fell due in these days and were texted, and how many of them were reported as done."""

    asked: int
    done: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DayPicked:
    """What was picked on one day: grams that count, in how many weights."""

    day: date
    grams: int
    weights: int


@dataclass(frozen=True, kw_only=True, slots=True)
class QuestionsAsked:
    """Questions that were asked in these days, and how many of them an officer has answered or closed by now.

    Attributes:
        emergencies: those with words of danger; with `helps`, those who asked for help after a warning, the calls.
    """

    asked: int
    answered: int
    closed: int
    emergencies: int
    helps: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Brought:
    """What was weighed at collections in these days, in grams, in how many deliveries of how many farmers."""

    accepted: int
    rejected: int
    deliveries: int
    farmers: int


class Reporting:
    """Counts for the report."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def texts(self, days: Days, districts: Districts) -> tuple[TextsOut, ...]:
        """Return the texts of these days; those to strangers are for who has all districts."""
        paid = case((message.c.state.in_(_UNPAID), 0), else_=message.c.parts)
        found = (
            select(
                message.c.kind, message.c.state, func.count().label("texts"), func.sum(paid).label("parts")
            )
            .select_from(message if districts is None else message.join(farmer, farmer.c.id == _OWNER))
            .where(message.c.queued_on.between(days.first, days.last), within(districts))
            .group_by(message.c.kind, message.c.state)
            .order_by(message.c.kind, message.c.state)
        )
        return tuple(
            TextsOut(kind=row.kind, state=MessageState(row.state), texts=row.texts, parts=int(row.parts))
            for row in self._connection.execute(found)
        )

    def farmers(self, days: Days, districts: Districts, now: datetime) -> FarmersNow:
        """Return how farmers stand."""
        texted = farmer.c.state == FarmerState.ACTIVE
        paused = and_(texted, farmer.c.paused_until > now)
        wanted = {
            "active": and_(texted, or_(farmer.c.paused_until.is_(None), farmer.c.paused_until <= now)),
            "paused": paused,
            "pending": farmer.c.state == FarmerState.PENDING,
            "stopped": farmer.c.state == FarmerState.STOPPED,
            "new": and_(farmer.c.added_at >= days.begins, farmer.c.added_at < days.ends),
        }
        sums = (func.count(case((condition, 1))).label(name) for name, condition in wanted.items())
        found = select(*sums).where(farmer.c.state != FarmerState.ERASED, within(districts))
        return FarmersNow(**self._connection.execute(found).mappings().one())

    def jobs(self, days: Days, districts: Districts) -> JobsAsked:
        """Return the jobs that were asked."""
        done = and_(reminder.c.state == ReminderState.ANSWERED, reminder.c.answer != NOT_DONE)
        found = select(func.count().label("asked"), func.count(case((done, 1))).label("done")).where(
            reminder.c.due_on.between(days.first, days.last),
            reminder.c.state.in_((ReminderState.TEXTED, ReminderState.ANSWERED)),
        )
        found = _of_plots(found.select_from(reminder), reminder.c.plot_id, districts)
        return JobsAsked(**self._connection.execute(found).mappings().one())

    def picked(self, days: Days, districts: Districts) -> tuple[DayPicked, ...]:
        """Return what was picked, by day; days without a weight are left out."""
        found = (
            select(
                harvest.c.picked_on.label("day"),
                func.sum(harvest.c.grams).label("grams"),
                func.count().label("weights"),
            )
            .where(
                harvest.c.picked_on.between(days.first, days.last),
                harvest.c.state == HarvestState.COUNTED,
            )
            .group_by(harvest.c.picked_on)
            .order_by(harvest.c.picked_on)
        )
        found = _of_plots(found.select_from(harvest), harvest.c.plot_id, districts)
        return tuple(
            DayPicked(day=row.day, grams=int(row.grams), weights=row.weights)
            for row in self._connection.execute(found)
        )

    def held(self, days: Days, districts: Districts) -> int:
        """Return how many grams that count were picked under a hold, after a spray."""
        found = select(func.coalesce(func.sum(harvest.c.grams), 0)).where(
            harvest.c.picked_on.between(days.first, days.last),
            harvest.c.state == HarvestState.COUNTED,
            harvest.c.in_hold,
        )
        found = _of_plots(found.select_from(harvest), harvest.c.plot_id, districts)
        return int(self._connection.execute(found).scalar_one())

    def pickers(self, days: Days, districts: Districts) -> int:
        """Return how many farmers told a weight that counts."""
        found = (
            select(func.count(distinct(plot.c.farmer_id)))
            .select_from(harvest)
            .join(plot, plot.c.id == harvest.c.plot_id)
            .join(farmer, farmer.c.id == plot.c.farmer_id)
            .where(
                harvest.c.picked_on.between(days.first, days.last),
                harvest.c.state == HarvestState.COUNTED,
                within(districts),
            )
        )
        return self._connection.execute(found).scalar_one()

    def brought(self, days: Days, districts: Districts) -> Brought:
        """Return what was weighed at collections; what was taken back or corrected does not count."""
        found = (
            select(
                func.coalesce(func.sum(delivery.c.accepted_g), 0).label("accepted"),
                func.coalesce(func.sum(delivery.c.rejected_g), 0).label("rejected"),
                func.count().label("deliveries"),
                func.count(distinct(delivery.c.farmer_id)).label("farmers"),
            )
            .select_from(delivery)
            .where(
                # Collections are few: each is looked up with its days in the index.
                delivery.c.collection_id.in_(select(collection.c.id)),
                delivery.c.day.between(days.first, days.last),
                delivery.c.voided_at.is_(None),
            )
        )
        if districts is not None:
            found = found.join(farmer, farmer.c.id == delivery.c.farmer_id).where(within(districts))
        row = self._connection.execute(found).one()
        return Brought(
            accepted=int(row.accepted),
            rejected=int(row.rejected),
            deliveries=row.deliveries,
            farmers=row.farmers,
        )

    def questions(self, days: Days, districts: Districts, *, calls: bool) -> QuestionsAsked:
        """Return the calls for help, or all other questions; those of strangers are for who has all districts."""
        found = select(
            func.count().label("asked"),
            func.count().filter(question.c.state == QuestionState.ANSWERED).label("answered"),
            func.count().filter(question.c.state == QuestionState.CLOSED).label("closed"),
            func.count().filter(question.c.urgency == Urgency.EMERGENCY).label("emergencies"),
            func.count().filter(question.c.urgency == Urgency.NEED_HELP).label("helps"),
        ).where(
            question.c.asked_at >= days.begins,
            question.c.asked_at < days.ends,
            question.c.urgency.in_(_CALLS) if calls else question.c.urgency.not_in(_CALLS),
        )
        if districts is not None:
            found = found.join(farmer, farmer.c.id == question.c.farmer_id).where(within(districts))
        return QuestionsAsked(**self._connection.execute(found).mappings().one())

    def alerts(self, days: Days, districts: Districts) -> int:
        """Return how many alerts began in these days that went to one of these districts."""
        found = select(func.count()).where(
            alert.c.state.in_(_BEGUN), alert.c.send_at >= days.begins, alert.c.send_at < days.ends
        )
        if districts is not None:
            found = found.where(
                exists().where(
                    alert_district.c.alert_id == alert.c.id, within(districts, alert_district.c.district_id)
                )
            )
        return self._connection.execute(found).scalar_one()


def _of_plots(
    found: Select[*tuple[Any, ...]], plot_id: ColumnElement[int], districts: Districts
) -> Select[*tuple[Any, ...]]:
    """Bind rows to the districts of their plots' farmers; whoever sees all needs no join."""
    if districts is None:
        return found
    return (
        found.join(plot, plot.c.id == plot_id)
        .join(farmer, farmer.c.id == plot.c.farmer_id)
        .where(within(districts))
    )
