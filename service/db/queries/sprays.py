"""Sprays, the weights picked under their holds, and the texts they call off."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, fields
from datetime import date, datetime, timedelta
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Executable,
    Text,
    and_,
    bindparam,
    cast,
    exists,
    insert,
    not_,
    or_,
    select,
    update,
)

from service.agronomy.tasks import LOOK_BACK
from service.core.kinds import MessageState
from service.core.model import ReminderState
from service.core.spraying import KeptSpray, NewSpray
from service.db.queries.by_plot import SETTLED
from service.db.queries.calling_off import call_off
from service.db.tables.outbox import message
from service.db.tables.people import farmer_phone
from service.db.tables.plots import harvest, plot, reminder
from service.db.tables.sprays import spray

COUNTS: Final = spray.c.voided_at.is_(None)
# The kind of the text that says that a hold has ended.
_ENDS: Final = "hold_over"
# None of our texts waits longer than that to leave.
_LEFT_WITHIN: Final = timedelta(days=3)
_KEPT: Final = select(*(spray.c[field.name] for field in fields(KeptSpray)))
_ON_PLOTS: Final = _KEPT.where(
    spray.c.plot_id.in_(bindparam("plot_ids", expanding=True)),
    COUNTS,
    spray.c.pick_from > bindparam("after"),
).order_by(spray.c.plot_id, spray.c.pick_from)
_LAST: Final = (
    select(spray.c.inbound_id)
    .where(spray.c.phone_id == bindparam("phone_id"), spray.c.at >= bindparam("since"), COUNTS)
    .order_by(spray.c.at.desc(), spray.c.id.desc())
    .limit(1)
)
_LAST_SAVED: Final = (
    _KEPT.where(spray.c.inbound_id == _LAST.scalar_subquery(), COUNTS).order_by(spray.c.id).limit(1)
)
# As `flows.spraying.held_on` has it: the day of the spray itself is inside, but for what was picked before it.
_UNDER_HOLD: Final = (
    exists()
    .where(
        spray.c.plot_id == harvest.c.plot_id,
        COUNTS,
        or_(
            spray.c.sprayed_on < harvest.c.picked_on,
            and_(
                spray.c.sprayed_on == harvest.c.picked_on,
                # What is told after the spray was asked about by nobody; ids rise with time.
                not_(and_(spray.c.picked_first, harvest.c.id < spray.c.id)),
            ),
        ),
        spray.c.pick_from > harvest.c.picked_on,
    )
    .correlate(harvest)
)
_FLAG: Final = (
    update(harvest)
    .where(harvest.c.plot_id.in_(bindparam("plot_ids", expanding=True)), harvest.c.in_hold != _UNDER_HOLD)
    .values(in_hold=_UNDER_HOLD)
)


class Sprays:
    """What farmers and officers have told of sprays."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(self, sprays: Iterable[NewSpray]) -> None:
        """Keep sprays."""
        rows = [asdict(one) for one in sprays]
        if rows:
            self._connection.execute(insert(spray), rows)

    def on_plots(self, plot_ids: Sequence[int], after: date) -> tuple[KeptSpray, ...]:
        """Return the sprays on these plots whose hold ends after a day."""
        return self._all(_ON_PLOTS, plot_ids=list(plot_ids), after=after)

    def alike(self, spray_id: int) -> tuple[KeptSpray, ...]:
        """Return a spray with those told in the same text for other plots; nothing once it is taken back."""
        own = _KEPT.where(spray.c.id == spray_id, COUNTS)
        told_in = select(spray.c.inbound_id).where(spray.c.id == spray_id, COUNTS).scalar_subquery()
        others = _KEPT.where(spray.c.inbound_id == told_in, COUNTS).order_by(spray.c.id)
        return self._all(others) or self._all(own)

    def last_saved(self, phone_id: int, since: datetime) -> KeptSpray | None:
        """Return the last spray a phone told of since then, of several plots the one told of first."""
        return next(iter(self._all(_LAST_SAVED, phone_id=phone_id, since=since)), None)

    def set_days(
        self, spray_ids: Sequence[int], label_days: int | None, pick_from: date, at: datetime
    ) -> None:
        """Keep what the label of some sprays says."""
        self._connection.execute(
            update(spray)
            .where(spray.c.id.in_(spray_ids))
            .values(label_days=label_days, pick_from=pick_from, at=at)
        )

    def set_picked_first(self, spray_ids: Sequence[int]) -> None:
        """Keep that what was told as picked on the day of some sprays was picked before them."""
        self._connection.execute(update(spray).where(spray.c.id.in_(spray_ids)).values(picked_first=True))

    def void(self, spray_ids: Sequence[int], at: datetime, inbound_id: int | None) -> None:
        """Take sprays back."""
        self._connection.execute(
            update(spray).where(spray.c.id.in_(spray_ids)).values(voided_at=at, voided_by=inbound_id)
        )

    def flag_weights(self, plot_ids: Sequence[int]) -> None:
        """Mark the weights of these plots that were picked under a hold, and no others."""
        self._connection.execute(_FLAG, {"plot_ids": list(plot_ids)})

    def call_off(self, plot_ids: Sequence[int], tasks: Sequence[str], why: str, at: datetime) -> int:
        """Call off the texts to be sent that speak of some tasks on these plots, or of a hold that has ended.

        Their jobs wait for a text again. One that has been on the wire before is not sent again, and its jobs stay
        as texted. Return how many texts
        never left.
        """
        speaking = select(reminder.c.message_day, reminder.c.message_id).where(
            reminder.c.plot_id.in_(plot_ids),
            SETTLED,
            reminder.c.state == ReminderState.TEXTED,
            reminder.c.task.in_(tasks),
            # An old text has left long ago.
            reminder.c.due_on >= at.date() - LOOK_BACK,
        )
        phones = (
            select(farmer_phone.c.phone_id)
            .join(plot, plot.c.farmer_id == farmer_phone.c.farmer_id)
            .where(plot.c.id.in_(plot_ids))
        )
        ends = select(message.c.queued_on, message.c.id).where(
            message.c.phone_id.in_(phones),
            message.c.queued_on >= at.date() - _LEFT_WITHIN,
            message.c.kind == _ENDS,
        )
        told = [tuple(row) for found in (speaking, ends) for row in self._connection.execute(found)]
        if not told:
            return 0
        call_off(self._connection, _named(message.c.queued_on, message.c.id, told), why, at)
        # Its own key is free again for the text that takes its place.
        gone = self._connection.execute(
            update(message)
            .where(
                _named(message.c.queued_on, message.c.id, told),
                message.c.state == MessageState.CANCELLED,
                message.c.state_at == at,
            )
            .values(idem_key=message.c.idem_key + ":" + cast(message.c.id, Text))
            .returning(message.c.queued_on, message.c.id)
        ).all()
        if gone:
            of_text = _named(reminder.c.message_day, reminder.c.message_id, [tuple(row) for row in gone])
            self._connection.execute(
                update(reminder)
                .where(of_text, reminder.c.state == ReminderState.TEXTED)
                .values(state=ReminderState.DUE, message_day=None, message_id=None, place=None)
            )
        return len(gone)

    def _all(self, statement: Executable, **values: object) -> tuple[KeptSpray, ...]:
        return tuple(KeptSpray(**row) for row in self._connection.execute(statement, values).mappings())


def _named(
    day: ColumnElement[date], row_id: ColumnElement[int], keys: Sequence[tuple[Any, ...]]
) -> ColumnElement[bool]:
    """Return the condition that a text is one of these: no two have the same id, and the day leads to the index."""
    return and_(day.in_({key[0] for key in keys}), row_id.in_([key[1] for key in keys]))
