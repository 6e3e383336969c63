"""Erasing a farmer: what goes at once, and the number that goes once its last answer has left."""

from datetime import date, datetime

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    and_,
    bindparam,
    delete,
    exists,
    or_,
    select,
    update,
)

from flows.facts import FarmerState
from service.core.kinds import MessageState
from service.db.queries.by_plot import either
from service.db.tables.alerts import alert, alert_recipient
from service.db.tables.collections import delivery, estimate
from service.db.tables.money import cost, sale
from service.db.tables.outbox import message
from service.db.tables.people import consent, erasure, farmer, farmer_phone, phone, stop_list
from service.db.tables.plots import done_report, harvest, plot, plot_change, reminder, scout_report
from service.db.tables.speech import answer, conversation, inbound, inbound_part, question
from service.db.tables.sprays import spray
from service.db.tables.vessels import vessel
from service.db.tables.watering import container, rain_report
from service.db.upsert import insert_new

_MAY_STILL_LEAVE = (MessageState.DUE, MessageState.SUBMITTING, MessageState.IN_DOUBT)
_OF_PLOTS = (scout_report, done_report, harvest, spray, sale, cost, plot_change)
_leaves = exists().where(message.c.phone_id == erasure.c.phone_id, message.c.state.in_(_MAY_STILL_LEAVE))
_NUMBERS_DUE = select(erasure.c.phone_id).where(~erasure.c.number_gone, ~_leaves)
_phones: BindParameter[int] = bindparam("the_phones", expanding=True, type_=phone.c.id.type)
_linked = select(farmer_phone.c.phone_id).where(farmer_phone.c.phone_id.in_(_phones))
_FORGET_NUMBERS = (
    # What was sent last may have named the farmer.
    update(message)
    .where(message.c.phone_id.in_(_phones), message.c.phone_id.not_in(_linked))
    .values(text=""),
    update(phone).where(phone.c.id.in_(_phones), phone.c.id.not_in(_linked)).values(sealed=b"", last3=""),
    update(erasure).where(erasure.c.phone_id.in_(_phones)).values(number_gone=True),
)


class Erasing:
    """Removes what is kept of a farmer; a row without a name, the day, and the number's index are left."""

    def __init__(self, connection: Connection) -> None:
        """Work on `connection`."""
        self._connection = connection
        self._dialect = connection.dialect.name

    def erase(self, farmer_id: int, on: date, now: datetime, *, but_inbound: int | None) -> None:
        """Remove a farmer's name, plots, reports, questions and texts; do it again and nothing more happens.

        A phone that speaks for nobody else is put on the stop list. `but_inbound` is the text being answered.
        """
        run = self._connection.execute
        own = tuple(
            run(select(farmer_phone.c.phone_id).where(farmer_phone.c.farmer_id == farmer_id)).scalars()
        )
        alone = tuple(phone_id for phone_id in own if not self._speaks_for_others(phone_id, farmer_id))
        self._forget_texts(farmer_id, own, alone, but_inbound or 0)
        plots = select(plot.c.id).where(plot.c.farmer_id == farmer_id)
        run(delete(reminder).where(either(reminder.c.plot_id.in_(plots))))
        for table in _OF_PLOTS:
            run(delete(table).where(table.c.plot_id.in_(plots)))
        run(delete(plot).where(plot.c.farmer_id == farmer_id))
        asked = or_(question.c.farmer_id == farmer_id, question.c.phone_id.in_(alone))
        run(delete(answer).where(answer.c.question_id.in_(select(question.c.id).where(asked))))
        run(delete(question).where(asked))
        run(delete(conversation).where(conversation.c.farmer_id == farmer_id))
        run(delete(consent).where(consent.c.farmer_id == farmer_id))
        run(
            update(alert_recipient)
            .where(
                # By way of the key: there are few alerts, and very many recipients.
                alert_recipient.c.alert_id.in_(select(alert.c.id)),
                alert_recipient.c.phone_id.in_(own),
                alert_recipient.c.farmer_id == farmer_id,
            )
            .values(answer=None)
        )
        # What was weighed and paid stays as sums without a name: it is the programme's account as well.
        run(update(delivery).where(delivery.c.farmer_id == farmer_id).values(words=""))
        for told in (container, rain_report, estimate, vessel):
            run(delete(told).where(told.c.farmer_id == farmer_id))
        run(delete(farmer_phone).where(farmer_phone.c.farmer_id == farmer_id))
        run(
            update(farmer)
            .where(farmer.c.id == farmer_id)
            .values(
                name="",
                sought="",
                state=FarmerState.ERASED,
                pending_until=None,
                paused_until=None,
                village_id=None,
                group_id=None,
                added_by=None,
            )
        )
        for phone_id in alone:
            index = select(phone.c.number_index).where(phone.c.id == phone_id).scalar_subquery()
            run(insert_new(self._dialect, stop_list).values(number_index=index, since=now))
            new = {"farmer_id": farmer_id, "phone_id": phone_id, "on_day": on, "number_gone": False}
            run(insert_new(self._dialect, erasure).values(new))

    def _speaks_for_others(self, phone_id: int, farmer_id: int) -> bool:
        others = select(farmer_phone.c.farmer_id).where(
            farmer_phone.c.phone_id == phone_id,
            farmer_phone.c.farmer_id != farmer_id,
            farmer_phone.c.until.is_(None),
        )
        return self._connection.execute(others.limit(1)).first() is not None

    def _forget_texts(self, farmer_id: int, own: tuple[int, ...], alone: tuple[int, ...], but: int) -> None:
        """Empty the texts that came from the farmer and those that went to them; what waits is called off."""
        run = self._connection.execute
        theirs: ColumnElement[bool] = or_(inbound.c.farmer_id == farmer_id, inbound.c.phone_id.in_(alone))
        texts = select(inbound.c.id).where(inbound.c.phone_id.in_(own), theirs, inbound.c.id != but)
        found = list(run(texts).scalars())
        sent = and_(
            message.c.phone_id.in_(own),
            or_(
                message.c.farmer_id == farmer_id,
                message.c.phone_id.in_(alone),
                message.c.inbound_id.in_(found),
            ),
        )
        waits = and_(sent, message.c.state == MessageState.DUE, message.c.inbound_id.is_(None))
        run(update(message).where(waits).values(state=MessageState.CANCELLED, why="the farmer was erased"))
        run(update(message).where(sent, message.c.state.not_in(_MAY_STILL_LEAVE)).values(text=""))
        run(
            update(inbound)
            .where(inbound.c.id.in_(found))
            .values(raw=b"", text="", read_json=None, farmer_id=None)
        )
        run(delete(inbound_part).where(inbound_part.c.phone_id.in_(alone)))

    def forget_numbers(self) -> int:
        """Remove the numbers of erased farmers from which nothing is on its way any more; return how many.

        Their index stays, by which the number is known again on the stop list; it cannot be turned back into it.
        """
        phones = list(self._connection.execute(_NUMBERS_DUE).scalars())
        if phones:
            for forgets in _FORGET_NUMBERS:
                self._connection.execute(forgets, {"the_phones": phones})
        return len(phones)
