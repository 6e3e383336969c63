"""The recipients of alerts: found, written down and turned into messages set by set, never one by one."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    Text,
    and_,
    case,
    cast,
    exists,
    func,
    literal,
    or_,
    select,
    update,
)

from flows.facts import FarmerState
from service.core.alert_ports import OtherAlerts, Stretch, Tally, Touch
from service.core.alerts import Audience, Excluded, Reach, Share
from service.core.kinds import Kind, MessageState
from service.db.queries.audience import PREFERRED, REASONS, of_others, phones_of, texted, to_come, wanted
from service.db.queries.calling_off import CLOSED
from service.db.tables.alerts import alert, alert_recipient, alert_text
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer
from service.db.upsert import insert_new

_ID: Final = message.c.id.type
_OPEN: Final = and_(alert_recipient.c.excluded.is_(None), alert_recipient.c.message_id.is_(None))


class Recipients:
    """Whom alerts go to."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        dialect = connection.dialect.name
        self._add = insert_new(dialect, alert_recipient)
        self._queue = insert_new(dialect, message)

    def reach(self, audience: Audience, *, others: OtherAlerts, now: datetime) -> Reach:
        """Return whom an audience holds at this moment; a phone that one of the others texts is held back."""
        found = phones_of(audience, others, now)
        rows = self._connection.execute(
            select(
                found.c.language,
                found.c.excluded,
                func.count().label("phones"),
                func.sum(found.c.farmers).label("farmers"),
            )
            .group_by(found.c.language, found.c.excluded)
            .order_by(found.c.language)
        ).all()
        excluded = dict.fromkeys((reason.value for reason in REASONS), 0)
        for row in rows:
            if row.excluded:
                excluded[row.excluded] += row.phones
        return Reach(
            shares=_shares(rows, None),
            excluded={reason: count for reason, count in excluded.items() if count},
            held=_shares(rows, Excluded.ONE_A_DAY),
            no_phone=self._without_phone(audience, others.day),
        )

    def touched(self, audience: Audience, *, others: OtherAlerts, now: datetime) -> tuple[Touch, ...]:
        """Return the others that text phones of an audience which nothing else excludes, the first first."""
        found = phones_of(audience, others, now)
        free = or_(found.c.excluded.is_(None), found.c.excluded == Excluded.ONE_A_DAY)
        waits = func.sum(case((message.c.state == MessageState.DUE, 1), else_=0))
        written = (
            select(message.c.alert_id, func.count(), waits, func.min(message.c.not_before))
            .join(found, found.c.phone_id == message.c.phone_id)
            .where(free, of_others(others), message.c.alert_id.is_not(None))
            .group_by(message.c.alert_id)
        )
        begins = func.max(alert.c.send_at), func.max(alert.c.waits_until)
        unwritten = (
            select(alert.c.id, func.count(), func.count(), *begins)
            .select_from(alert_recipient)
            .join(found, found.c.phone_id == alert_recipient.c.phone_id)
            .join(alert, alert.c.id == alert_recipient.c.alert_id)
            .where(free, to_come(others))
            .group_by(alert.c.id)
        )
        touches: dict[int, Touch] = {}
        for row in (*self._connection.execute(written), *self._connection.execute(unwritten)):
            number, phones, waiting, *instants = row
            at = max(filter(None, instants))
            # One whose texts are just being written stands in both.
            there = touches.get(number, Touch(alert_id=number, phones=0, waiting=0, at=at))
            touches[number] = Touch(
                alert_id=number,
                phones=there.phones + phones,
                waiting=there.waiting + int(waiting),
                at=min(there.at, at),
            )
        return tuple(sorted(touches.values(), key=lambda touch: (touch.at, touch.alert_id)))

    def _without_phone(self, audience: Audience, day: date) -> int:
        linked = exists().where(PREFERRED)
        found = (
            select(func.count())
            .select_from(farmer)
            .join(district, district.c.id == farmer.c.district_id)
            .where(wanted(audience, day), farmer.c.state == FarmerState.ACTIVE, ~linked)
        )
        return self._connection.execute(found).scalar_one()

    def write_down(
        self,
        alert_id: int,
        audience: Audience,
        *,
        languages: Collection[str],
        others: OtherAlerts,
        now: datetime,
    ) -> int:
        """Keep the recipients of an alert as they are at this moment, each phone once.

        Return how many phones of them are to be texted. Who reads none of `languages` is not.
        """
        found = phones_of(audience, others, now)
        wordless = and_(found.c.excluded.is_(None), found.c.language.not_in(sorted(languages)))
        columns = (
            found.c.phone_id,
            found.c.farmer_id,
            found.c.farmers,
            found.c.language,
            found.c.turn,
            case((wordless, Excluded.NO_WORDS.value), else_=found.c.excluded).label("excluded"),
        )
        rows = select(literal(alert_id, alert_recipient.c.alert_id.type), *columns).where(found.c.turn > 0)
        names = ["alert_id", *(column.name for column in columns)]
        self._connection.execute(self._add.from_select(names, rows))
        written = select(func.count()).where(
            alert_recipient.c.alert_id == alert_id, alert_recipient.c.excluded.is_(None)
        )
        return self._connection.execute(written).scalar_one()

    def withhold(self, alert_id: int, others: OtherAlerts) -> None:
        """Before recipients become messages: leave out those of whom that became right meanwhile."""
        self._exclude(alert_id, Excluded.ONE_A_DAY, texted(alert_recipient.c.phone_id, others))
        off = exists().where(farmer.c.id == alert_recipient.c.farmer_id, ~farmer.c.alerts)
        self._exclude(alert_id, Excluded.ALERTS_OFF, off)

    def _exclude(self, alert_id: int, reason: Excluded, when: ColumnElement[bool]) -> None:
        self._connection.execute(
            update(alert_recipient)
            .where(alert_recipient.c.alert_id == alert_id, _OPEN, when)
            .values(excluded=reason)
        )

    def unwritten(self, alert_id: int) -> tuple[int, int] | None:
        """Return the first and the last turn that is no message yet; None when all are."""
        turn, here = alert_recipient.c.turn, and_(alert_recipient.c.alert_id == alert_id, _OPEN)
        # Asked for one by one, each is found at its end of the index of these; together they take a walk through it.
        ends = (select(end(turn)).where(here).scalar_subquery() for end in (func.min, func.max))
        row = self._connection.execute(select(*ends)).one()
        return None if row[0] is None else (row[0], row[1])

    def write(self, stretch: Stretch, *, kind: Kind, gateway: str, now: datetime) -> None:
        """Turn a stretch of recipients into messages; those who have theirs are left alone."""
        within = and_(
            alert_recipient.c.alert_id == stretch.alert_id,
            alert_recipient.c.turn.between(stretch.first_turn, stretch.last_turn),
            _OPEN,
        )
        # Ids take 63 bits: left to itself PostgreSQL would reckon in the 32 of a turn.
        message_id = literal(stretch.first_id - stretch.first_turn, _ID) + cast(alert_recipient.c.turn, _ID)
        columns = {"id": message_id, **_message_columns(stretch, kind, gateway, now)}
        rows = (
            select(*columns.values())
            .select_from(alert_recipient)
            .join(
                alert_text,
                and_(
                    alert_text.c.alert_id == alert_recipient.c.alert_id,
                    alert_text.c.language == alert_recipient.c.language,
                ),
            )
            .join(farmer, farmer.c.id == alert_recipient.c.farmer_id)
            .join(district, district.c.id == farmer.c.district_id)
            .where(within)
            .order_by(alert_recipient.c.turn)
        )
        self._connection.execute(self._queue.from_select(list(columns), rows))
        self._connection.execute(
            update(alert_recipient).where(within).values(message_day=stretch.day, message_id=message_id)
        )

    def tally(self, alert_id: int) -> tuple[Tally, ...]:
        """Return how many phones of an alert stand where."""
        closed = case((and_(message.c.state == MessageState.IN_DOUBT, CLOSED), 1), else_=0)
        rows = self._connection.execute(
            select(
                alert_recipient.c.excluded,
                alert_recipient.c.answer,
                message.c.state,
                closed.label("closed"),
                func.count().label("phones"),
            )
            .select_from(alert_recipient)
            .outerjoin(
                message,
                and_(
                    message.c.queued_on == alert_recipient.c.message_day,
                    message.c.id == alert_recipient.c.message_id,
                ),
            )
            .where(alert_recipient.c.alert_id == alert_id)
            .group_by(alert_recipient.c.excluded, alert_recipient.c.answer, message.c.state, closed)
        )
        return tuple(
            Tally(
                excluded=row.excluded,
                answer=row.answer,
                state=MessageState(row.state) if row.state else None,
                closed=bool(row.closed),
                phones=row.phones,
            )
            for row in rows
        )


def _shares(rows: Iterable[Row[Any]], excluded: Excluded | None) -> tuple[Share, ...]:
    return tuple(
        Share(language=row.language, phones=row.phones, farmers=int(row.farmers))
        for row in rows
        if row.excluded == excluded
    )


def _message_columns(stretch: Stretch, kind: Kind, gateway: str, now: datetime) -> Mapping[str, Any]:
    """Return the columns of a message, each with what it is made of."""
    at = message.c.not_before.type
    return {
        "queued_on": literal(stretch.day, message.c.queued_on.type),
        "idem_key": literal(f"alert:{stretch.alert_id}:", Text) + cast(alert_recipient.c.phone_id, Text),
        "kind": literal(kind.name, Text),
        "phone_id": alert_recipient.c.phone_id,
        "farmer_id": alert_recipient.c.farmer_id,
        "gateway": literal(gateway, Text),
        "language": alert_recipient.c.language,
        "text_id": literal(stretch.text_id, Text),
        "text": alert_text.c.text,
        "parts": alert_text.c.parts,
        "priority": literal(kind.priority, message.c.priority.type),
        "policy": literal(kind.policy.value, Text),
        "zone": district.c.zone,
        "not_before": case(
            {zone: literal(instant, at) for zone, instant in stretch.not_before.items()},
            value=district.c.zone,
            else_=literal(now, at),
        ),
        "expires_at": literal(stretch.expires_at, at),
        "state": literal(MessageState.DUE.value, Text),
        "tries": literal(0, message.c.tries.type),
        "doubts": literal(0, message.c.doubts.type),
        "state_at": literal(now, at),
        "opens": literal(stretch.opens, message.c.opens.type),
        "alert_id": alert_recipient.c.alert_id,
    }
