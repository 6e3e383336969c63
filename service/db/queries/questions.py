"""Questions and calls for help: which wait for a person, and what officers did about each."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    ScalarSelect,
    Select,
    and_,
    case,
    exists,
    func,
    insert,
    or_,
    select,
    true,
    update,
)

from flows.effects import Urgency
from flows.facts import FarmerState
from service.core.question_ports import Answer, NewAnswer, Question, QuestionState, Way
from service.db.queries.calling_off import call_off
from service.db.queries.scope import Districts, within
from service.db.sealing import Seal
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, farmer_phone, phone, stop_list, village
from service.db.tables.speech import answer, inbound, question
from service.db.tables.staff import officer

IS_OPEN: Final = question.c.state == only(QuestionState.OPEN)
_RANKS: Final = {
    Urgency.EMERGENCY: 0,
    Urgency.NEED_HELP: 1,
    # It may be a cry for help.
    Urgency.UNREAD: 1,
    Urgency.ORDINARY: 2,
    Urgency.NOT_UNDERSTOOD: 3,
}
_RANK: Final = case(_RANKS, value=question.c.urgency, else_=len(_RANKS))
# Of emergencies the newest stands first: whom it has hurt an hour ago has been called, or helped by others. All else is
# taken in turn.
_NEWEST: Final = case((question.c.urgency == Urgency.EMERGENCY, question.c.asked_at))
URGENT_FIRST: Final = (_RANK, _NEWEST.desc(), question.c.asked_at, question.c.id)

# Whom the phone speaks for. Where they are several, nobody knows which of them has asked.
_one: Final = farmer.alias("one_on_phone")
_place: Final = district.alias("place_of_one")
_ON_PHONE: Final = and_(
    farmer_phone.c.phone_id == question.c.phone_id,
    farmer_phone.c.until.is_(None),
    _one.c.id == farmer_phone.c.farmer_id,
    _one.c.state != FarmerState.ERASED,
    _place.c.id == _one.c.district_id,
)


def _of_phone(column: ColumnElement[str]) -> ScalarSelect[str]:
    """Return a column of the farmer whom the phone's texts go to, of the first where there are several."""
    first = (farmer_phone.c.preferred.desc(), farmer_phone.c.since, _one.c.id)
    return select(column).where(_ON_PHONE).order_by(*first).limit(1).correlate(question).scalar_subquery()


# All questions, with who asked where that is known.
LINES: Final[Select[Any]] = (
    select(
        question.c.id,
        question.c.code,
        question.c.text,
        question.c.urgency,
        question.c.asked_at,
        question.c.state,
        question.c.inbound_id,
        question.c.phone_id,
        phone.c.last3,
        stop_list.c.since.is_not(None).label("stopped"),
        question.c.farmer_id,
        farmer.c.name.label("farmer"),
        select(func.aggregate_strings(_one.c.name, ", "))
        .where(_ON_PHONE)
        .correlate(question)
        .scalar_subquery()
        .label("sharing"),
        func.coalesce(farmer.c.language, _of_phone(_one.c.language)).label("language"),
        district.c.name.label("district"),
        village.c.name.label("village"),
        func.coalesce(district.c.zone, _of_phone(_place.c.zone)).label("zone"),
        question.c.alert_id,
        inbound.c.read_json.label("reading"),
    )
    .join(phone, phone.c.id == question.c.phone_id)
    .outerjoin(stop_list, stop_list.c.number_index == phone.c.number_index)
    .outerjoin(farmer, farmer.c.id == question.c.farmer_id)
    .outerjoin(district, district.c.id == farmer.c.district_id)
    .outerjoin(village, village.c.id == farmer.c.village_id)
    .outerjoin(inbound, inbound.c.id == question.c.inbound_id)
)
_back: Final = officer.alias("taken_back")
_ANSWERS: Final[Select[Any]] = (
    select(
        answer.c.id,
        answer.c.question_id,
        officer.c.name.label("officer"),
        answer.c.at,
        answer.c.way,
        answer.c.words,
        answer.c.message_day,
        answer.c.message_id,
        answer.c.note,
        message.c.state.label("sent"),
        answer.c.taken_back_at,
        _back.c.name.label("taken_back_by"),
    )
    .join(officer, officer.c.id == answer.c.officer_id)
    .outerjoin(_back, _back.c.id == answer.c.taken_back_by)
    .outerjoin(
        message, and_(message.c.queued_on == answer.c.message_day, message.c.id == answer.c.message_id)
    )
    .order_by(answer.c.at, answer.c.id)
)


def theirs(districts: Districts) -> ColumnElement[bool]:
    """Return the condition that a question is for who has these districts.

    It is if its farmer lives there or, where nobody knows who of several asked, one of them does. A stranger's is for
    who has all districts.
    """
    if districts is None:
        return true()
    one_of_them = exists(
        select(_one.c.id).where(_ON_PHONE, within(districts, _one.c.district_id)).correlate(question)
    )
    return or_(within(districts), and_(question.c.farmer_id.is_(None), one_of_them))


def question_of(row: Row[Any]) -> Question:
    """Return a row of `LINES` as a value."""
    values = dict(row._mapping)  # noqa: SLF001 - public, underlined so that no column hides it
    return Question(**{**values, "state": QuestionState(values["state"])})


class Questions:
    """Reads questions and keeps what officers do about them."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Ask on `connection`; `seal` reads numbers."""
        self._connection = connection
        self._seal = seal

    def find(self, districts: Districts, code: str) -> Question | None:
        """Return a question, None if it is of elsewhere."""
        row = self._connection.execute(LINES.where(question.c.code == code, theirs(districts))).first()
        return question_of(row) if row else None

    def answers(self, question_ids: Collection[int]) -> tuple[Answer, ...]:
        """Return what was done about some questions, the oldest first."""
        return answers_to(self._connection, question_ids)

    def settle(self, question_id: int, state: QuestionState) -> bool:
        """Let an open question stand in `state`; return False, and change nothing, if it is not open."""
        # Two officers at once: the second waits here for the first, and then finds nothing to change.
        here = and_(question.c.id == question_id, question.c.state == QuestionState.OPEN)
        return bool(self._connection.execute(update(question).where(here).values(state=state)).rowcount)

    def reopen(self, question_id: int) -> bool:
        """Let a question be open again; return False, and change nothing, if it is open."""
        here = and_(question.c.id == question_id, question.c.state != QuestionState.OPEN)
        again = update(question).where(here).values(state=QuestionState.OPEN)
        return bool(self._connection.execute(again).rowcount)

    def settle_unread(self, inbound_id: int) -> None:
        """Let a text that could not be read wait for nobody any more: something was done about it elsewhere."""
        here = and_(question.c.inbound_id == inbound_id, question.c.urgency == Urgency.UNREAD, IS_OPEN)
        self._connection.execute(update(question).where(here).values(state=QuestionState.CLOSED))

    def keep_answer(self, new: NewAnswer) -> None:
        """Keep what an officer does about a question."""
        day, message_id = new.message or (None, None)
        self._connection.execute(
            insert(answer).values(
                id=new.id,
                question_id=new.question_id,
                officer_id=new.officer_id,
                at=new.at,
                way=new.way,
                words=new.words,
                message_day=day,
                message_id=message_id,
                note=new.note,
            )
        )

    def take_back(self, answer_id: int, officer_id: int, at: datetime) -> None:
        """Keep who has taken an answer back."""
        here = answer.c.id == answer_id
        self._connection.execute(
            update(answer).where(here).values(taken_back_at=at, taken_back_by=officer_id)
        )

    def call_off(self, key: tuple[date, int], why: str, at: datetime) -> None:
        """Let an answer's text leave no more, if it has not left."""
        this = and_(message.c.queued_on == key[0], message.c.id == key[1])
        call_off(self._connection, this, why, at)

    def number(self, phone_id: int) -> str | None:
        """Return a phone's number in E.164 form, None if it is not kept any more."""
        sealed = self._connection.execute(select(phone.c.sealed).where(phone.c.id == phone_id)).scalar()
        return self._seal.open(sealed) if sealed else None


def answers_to(connection: Connection, question_ids: Collection[int]) -> tuple[Answer, ...]:
    """Return what was done about some questions, the oldest first."""
    rows = connection.execute(_ANSWERS.where(answer.c.question_id.in_(list(question_ids))))
    return tuple(_answer(row) for row in rows)


def _answer(row: Row[Any]) -> Answer:
    values = dict(row._mapping)  # noqa: SLF001 - as above
    day, message_id = values.pop("message_day"), values.pop("message_id")
    key = None if day is None else (day, message_id)
    return Answer(**{**values, "way": Way(values["way"]), "message": key})
