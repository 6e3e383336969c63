"""What a farmer's own page shows: read-only queries."""

from collections.abc import Collection
from dataclasses import fields
from datetime import datetime
from typing import Any, Final, TypeVar

from sqlalchemy import ColumnElement, Connection, Executable, Select, and_, func, or_, select, true

from flows.facts import FarmerState
from service.core.changing import ASKED, REFUSED
from service.core.question_ports import Answer, Question
from service.db.queries.by_plot import either
from service.db.queries.console_sprays import SprayLine, sprays_of_plot
from service.db.queries.console_values import (
    ConsentFacts,
    FarmerFacts,
    PastReminder,
    PhoneFacts,
    PlotFacts,
    Said,
    SilentLine,
    Way,
    Weight,
)
from service.db.queries.console_weights import weights_of_plot
from service.db.queries.questions import IS_OPEN, LINES, URGENT_FIRST, answers_to, question_of
from service.db.queries.silent import Silent
from service.db.tables.outbox import attempt, message
from service.db.tables.people import (
    consent,
    district,
    farmer,
    farmer_group,
    farmer_phone,
    phone,
    stop_list,
    village,
)
from service.db.tables.plots import plot, reminder
from service.db.tables.speech import inbound, question
from service.db.tables.staff import officer

# When a text went out: its first try, else the moment it may leave.
_WENT_AT: Final = func.coalesce(
    select(func.min(attempt.c.began_at))
    .where(attempt.c.message_day == message.c.queued_on, attempt.c.message_id == message.c.id)
    .scalar_subquery(),
    message.c.not_before,
)

_LINK: Final = farmer_phone.alias()

Value = TypeVar("Value")


class FarmerConsole:
    """Reads for one farmer's page, and of nobody else; made by `Sight.farmer`, which sees to it that it may be."""

    def __init__(self, connection: Connection, farmer_id: int) -> None:
        """Read in an open transaction what is this farmer's."""
        self._connection = connection
        self.id = farmer_id

    def facts(self) -> FarmerFacts:
        """Return what is known of the farmer."""
        found = (
            select(
                farmer.c.id,
                farmer.c.name,
                farmer.c.language,
                farmer.c.district_id,
                district.c.name.label("district"),
                village.c.name.label("village"),
                farmer_group.c.name.label("group"),
                district.c.zone,
                farmer.c.state,
                farmer.c.pending_until,
                farmer.c.text_hour,
                farmer.c.added_at,
                farmer.c.paused_until,
                farmer.c.held_out,
            )
            .join(district, district.c.id == farmer.c.district_id)
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .outerjoin(farmer_group, farmer_group.c.id == farmer.c.group_id)
            .where(farmer.c.id == self.id)
        )
        row = self._connection.execute(found).mappings().one()
        phones = self._phones()
        return FarmerFacts(**row, phones=phones, sharing=self._sharing(phones), consent=self._consent())

    def silent(self, now: datetime) -> SilentLine | None:
        """Return since when nothing has been heard of the farmer; None if it is not long."""
        return Silent(self._connection, true()).one(self.id, now)

    def plots(self) -> tuple[PlotFacts, ...]:
        """Return a farmer's plots, live ones first, the newest before the older."""
        found = (
            select(*(plot.c[field.name] for field in fields(PlotFacts)))
            .where(plot.c.farmer_id == self.id)
            .order_by(plot.c.live.desc(), plot.c.planted_on.desc(), plot.c.id.desc())
        )
        return self._all(PlotFacts, found)

    def reminders(self, plot_id: int, limit: int) -> tuple[PastReminder, ...]:
        """Return what fell due on a plot, the latest first; `sent` is the state of the text it rode on."""
        found = (
            select(
                reminder.c.due_on,
                reminder.c.task,
                reminder.c.ordinal,
                reminder.c.state,
                reminder.c.why,
                reminder.c.answer,
                message.c.state.label("sent"),
            )
            .outerjoin(
                message,
                and_(message.c.queued_on == reminder.c.message_day, message.c.id == reminder.c.message_id),
            )
            .where(either(reminder.c.plot_id == plot_id), reminder.c.plot_id.in_(self._own_plots()))
            .order_by(reminder.c.due_on.desc(), reminder.c.place, reminder.c.task)
            .limit(limit)
        )
        return self._all(PastReminder, found)

    def weights(self, plot_id: int) -> tuple[Weight, ...]:
        """Return all weights of a plot, voided ones included, the latest picking first."""
        return self._all(Weight, weights_of_plot(plot_id, self._own_plots()))

    def sprays(self, plot_id: int, limit: int) -> tuple[SprayLine, ...]:
        """Return the last sprays on a plot of this farmer's, those taken back included."""
        return sprays_of_plot(self._connection, plot_id, limit, self._own_plots())

    def questions(self, limit: int) -> tuple[Question, ...]:
        """Return what this farmer has asked: what is open, the most urgent first, then the newest of the rest."""
        found = LINES.where(question.c.farmer_id == self.id)
        waiting = found.where(IS_OPEN).order_by(*URGENT_FIRST)
        settled = found.where(~IS_OPEN).order_by(question.c.asked_at.desc(), question.c.id.desc())
        asked = (
            *self._connection.execute(waiting.limit(limit)),
            *self._connection.execute(settled.limit(limit)),
        )
        return tuple(question_of(row) for row in asked)

    def answers(self, asked: Collection[Question]) -> tuple[Answer, ...]:
        """Return what officers did about some of them, the oldest first."""
        return answers_to(self._connection, [one.id for one in asked])

    def talk(self, limit: int) -> tuple[Said, ...]:
        """Return the last `limit` texts either way, the newest first.

        On a phone that several farmers share only this farmer's texts are meant, and those that name nobody and
        came while the phone was theirs too: what others said before stays with them.
        """
        # Those they have no more are among them: what was said then was said by them.
        theirs = select(farmer_phone.c.phone_id).where(farmer_phone.c.farmer_id == self.id)
        phones = list(self._connection.execute(theirs).scalars())
        said = (*self._texts_out(phones, limit), *self._texts_in(phones, limit))
        return tuple(sorted(said, key=_newest, reverse=True)[:limit])

    def _consent(self) -> ConsentFacts | None:
        # Consent is found by phone: it is kept for numbers. What a phone that is only asked says is told with the phone.
        theirs = select(farmer_phone.c.phone_id).where(
            farmer_phone.c.farmer_id == self.id, farmer_phone.c.role.not_in((ASKED, REFUSED))
        )
        found = (
            select(
                consent.c.answer,
                consent.c.way,
                consent.c.at,
                phone.c.last3,
                officer.c.name.label("officer"),
            )
            .join(phone, phone.c.id == consent.c.phone_id)
            .outerjoin(officer, officer.c.id == consent.c.officer_id)
            .where(
                consent.c.phone_id.in_(theirs), consent.c.farmer_id == self.id, consent.c.purpose == "texts"
            )
            .order_by(consent.c.at.desc(), consent.c.id.desc())
            .limit(1)
        )
        return next(iter(self._all(ConsentFacts, found)), None)

    def _sharing(self, phones: tuple[PhoneFacts, ...]) -> tuple[str, ...]:
        """Return the names of the others on the farmer's own phones who live in the same district."""
        home = select(farmer.c.district_id).where(farmer.c.id == self.id).scalar_subquery()
        found = (
            select(farmer.c.name)
            .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
            .where(
                farmer_phone.c.phone_id.in_([one.id for one in phones if one.role not in (ASKED, REFUSED)]),
                farmer_phone.c.until.is_(None),
                farmer.c.id != self.id,
                farmer.c.district_id == home,
                farmer.c.state != FarmerState.ERASED,
            )
            .order_by(farmer.c.name)
            .distinct()
        )
        return tuple(self._connection.execute(found).scalars())

    def _phones(self) -> tuple[PhoneFacts, ...]:
        found = (
            select(
                phone.c.id,
                phone.c.last3,
                farmer_phone.c.role,
                farmer_phone.c.preferred,
                farmer_phone.c.since,
                farmer_phone.c.until,
                stop_list.c.since.is_not(None).label("stopped"),
            )
            .join(farmer_phone, farmer_phone.c.phone_id == phone.c.id)
            .outerjoin(stop_list, stop_list.c.number_index == phone.c.number_index)
            .where(
                farmer_phone.c.farmer_id == self.id,
                or_(farmer_phone.c.until.is_(None), farmer_phone.c.role == REFUSED),
            )
            .order_by(farmer_phone.c.preferred.desc(), farmer_phone.c.since, phone.c.id)
        )
        return self._all(PhoneFacts, found)

    def _texts_out(self, phones: list[int], limit: int) -> tuple[Said, ...]:
        found = (
            select(
                _WENT_AT.label("at"),
                message.c.text,
                message.c.state,
                message.c.kind,
                message.c.parts,
                message.c.why,
            )
            .outerjoin(inbound, inbound.c.id == message.c.inbound_id)
            .where(
                message.c.phone_id.in_(phones),
                # An answer is to whoever said what it answers.
                self._own(
                    func.coalesce(message.c.farmer_id, inbound.c.farmer_id),
                    message.c.phone_id,
                    message.c.not_before,
                ),
            )
            .order_by(message.c.queued_on.desc(), message.c.not_before.desc(), message.c.id.desc())
            .limit(limit)
        )
        rows = self._connection.execute(found).mappings()
        return tuple(Said(way=Way.OUT, **row) for row in rows)

    def _texts_in(self, phones: list[int], limit: int) -> tuple[Said, ...]:
        found = (
            select(
                inbound.c.received_at.label("at"),
                inbound.c.text,
                inbound.c.state,
                inbound.c.read_json.label("reading"),
            )
            .where(
                inbound.c.phone_id.in_(phones),
                self._own(inbound.c.farmer_id, inbound.c.phone_id, inbound.c.received_at),
            )
            .order_by(inbound.c.id.desc())
            .limit(limit)
        )
        rows = self._connection.execute(found).mappings()
        return tuple(Said(way=Way.IN, **row) for row in rows)

    def _own(
        self, whose: ColumnElement[Any], phone_id: ColumnElement[int], at: ColumnElement[datetime]
    ) -> ColumnElement[bool]:
        """Return the condition that a text is this farmer's, or names nobody and may be theirs."""
        links = select(_LINK.c.phone_id).where(
            _LINK.c.phone_id == phone_id, or_(_LINK.c.until.is_(None), _LINK.c.until > at)
        )
        mine = links.where(_LINK.c.farmer_id == self.id, _LINK.c.role.not_in((ASKED, REFUSED)))
        others = links.where(_LINK.c.farmer_id != self.id, _LINK.c.since <= at)
        maybe = or_(mine.where(_LINK.c.since <= at).exists(), and_(mine.exists(), ~others.exists()))
        return or_(whose == self.id, and_(whose.is_(None), maybe))

    def _own_plots(self) -> Select[tuple[int]]:
        return select(plot.c.id).where(plot.c.farmer_id == self.id)

    def _all(self, kind: type[Value], statement: Executable) -> tuple[Value, ...]:
        """Return the rows as values; the columns are labelled like the value's fields."""
        return tuple(kind(**row) for row in self._connection.execute(statement).mappings())


def _newest(said: Said) -> tuple[datetime, bool]:
    """An answer stands after what it answers, even in the same instant."""
    return said.at, said.way is Way.OUT
