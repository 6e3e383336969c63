"""The recipients of alerts: found, written down and turned into messages set by set, never one by one."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Subquery,
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
from service.core.alert_ports import Stretch, Tally
from service.core.alerts import Audience, Excluded, Reach, Share
from service.core.kinds import NEVER_LEFT, Kind, MessageState
from service.db.tables.alerts import alert_recipient, alert_text
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, farmer_phone, phone, stop_list
from service.db.tables.plots import plot
from service.db.upsert import insert_new

# A reason stands for its number while the database sorts them; 0 is none.
_REASONS: Final = tuple(Excluded)
_STOPPED, _PENDING, _PAUSED, _OFF, _ONE_A_DAY = range(1, len(_REASONS) + 1)
_ELEVATION: Final = func.coalesce(
    select(func.max(plot.c.elevation_m))
    .where(plot.c.farmer_id == farmer.c.id, plot.c.live)
    .scalar_subquery(),
    district.c.elevation_m,
    0,
)
_PREFERRED: Final = and_(
    farmer_phone.c.farmer_id == farmer.c.id, farmer_phone.c.preferred, farmer_phone.c.until.is_(None)
)
_OPEN: Final = and_(alert_recipient.c.excluded.is_(None), alert_recipient.c.message_id.is_(None))


class Recipients:
    """Whom alerts go to."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        dialect = connection.dialect.name
        self._add = insert_new(dialect, alert_recipient)
        self._queue = insert_new(dialect, message)

    def reach(self, audience: Audience, *, kinds: tuple[str, ...], day: date, now: datetime) -> Reach:
        """Return whom an audience holds at this moment.

        A phone that has a text of `kinds` on `day` is left out: one a day is enough.
        """
        found = _phones(audience, kinds, day, now)
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
        excluded = dict.fromkeys((reason.value for reason in _REASONS), 0)
        for row in rows:
            if row.excluded:
                excluded[row.excluded] += row.phones
        return Reach(
            shares=tuple(
                Share(language=row.language, phones=row.phones, farmers=int(row.farmers))
                for row in rows
                if not row.excluded
            ),
            excluded={reason: count for reason, count in excluded.items() if count},
            no_phone=self._without_phone(audience, day),
        )

    def _without_phone(self, audience: Audience, day: date) -> int:
        linked = exists().where(_PREFERRED)
        found = (
            select(func.count())
            .select_from(farmer)
            .join(district, district.c.id == farmer.c.district_id)
            .where(_wanted(audience, day), farmer.c.state == FarmerState.ACTIVE, ~linked)
        )
        return self._connection.execute(found).scalar_one()

    def write_down(
        self, alert_id: int, audience: Audience, *, kinds: tuple[str, ...], day: date, now: datetime
    ) -> None:
        """Keep the recipients of an alert as they are at this moment, each phone once."""
        found = _phones(audience, kinds, day, now)
        columns = (
            found.c.phone_id,
            found.c.farmer_id,
            found.c.farmers,
            found.c.language,
            found.c.turn,
            found.c.excluded,
        )
        rows = select(literal(alert_id, alert_recipient.c.alert_id.type), *columns).where(found.c.turn > 0)
        names = ["alert_id", *(column.name for column in columns)]
        self._connection.execute(self._add.from_select(names, rows))

    def withhold(self, alert_id: int, *, kinds: tuple[str, ...], day: date) -> None:
        """Before recipients become messages: leave out those of whom that became right meanwhile."""
        self._exclude(alert_id, Excluded.ONE_A_DAY, _texted(alert_recipient.c.phone_id, kinds, day))
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
        row = self._connection.execute(
            select(func.min(alert_recipient.c.turn), func.max(alert_recipient.c.turn)).where(
                alert_recipient.c.alert_id == alert_id, _OPEN
            )
        ).one()
        return None if row[0] is None else (row[0], row[1])

    def write(self, stretch: Stretch, *, kind: Kind, gateway: str, now: datetime) -> None:
        """Turn a stretch of recipients into messages; those who have theirs are left alone."""
        within = and_(
            alert_recipient.c.alert_id == stretch.alert_id,
            alert_recipient.c.turn.between(stretch.first_turn, stretch.last_turn),
            alert_recipient.c.excluded.is_(None),
        )
        self._connection.execute(
            update(alert_recipient)
            .where(within, alert_recipient.c.message_id.is_(None))
            .values(
                message_day=stretch.day,
                message_id=stretch.first_id + alert_recipient.c.turn - stretch.first_turn,
            )
        )
        columns = _message_columns(stretch, kind, gateway, now)
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

    def tally(self, alert_id: int) -> tuple[Tally, ...]:
        """Return how many phones of an alert stand where."""
        rows = self._connection.execute(
            select(
                alert_recipient.c.excluded,
                alert_recipient.c.answer,
                message.c.state,
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
            .group_by(alert_recipient.c.excluded, alert_recipient.c.answer, message.c.state)
        )
        return tuple(
            Tally(
                excluded=row.excluded,
                answer=row.answer,
                state=MessageState(row.state) if row.state else None,
                phones=row.phones,
            )
            for row in rows
        )


def _message_columns(stretch: Stretch, kind: Kind, gateway: str, now: datetime) -> Mapping[str, Any]:
    """Return the columns of a message, each with what it is made of."""
    at = message.c.not_before.type
    return {
        "queued_on": alert_recipient.c.message_day,
        "id": alert_recipient.c.message_id,
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


def _wanted(audience: Audience, on: date) -> ColumnElement[bool]:
    """Return the condition for a farmer to be in the audience, erased ones apart."""
    narrowed: list[ColumnElement[bool]] = [
        column.in_(sorted(wanted))
        for column, wanted in (
            (farmer.c.village_id, audience.villages),
            (farmer.c.group_id, audience.groups),
            (farmer.c.language, audience.languages),
        )
        if wanted
    ]
    if audience.metres_from is not None:
        narrowed.append(audience.metres_from <= _ELEVATION)
    if audience.metres_below is not None:
        narrowed.append(audience.metres_below > _ELEVATION)
    if audience.age_from is not None or audience.age_below is not None:
        narrowed.append(_of_age(audience, on))
    return and_(farmer.c.district_id.in_(sorted(audience.districts)), *narrowed)


def _of_age(audience: Audience, on: date) -> ColumnElement[bool]:
    planted: list[ColumnElement[bool]] = [plot.c.farmer_id == farmer.c.id, plot.c.live]
    if audience.age_from is not None:
        planted.append(plot.c.planted_on <= on - timedelta(days=audience.age_from))
    if audience.age_below is not None:
        planted.append(plot.c.planted_on > on - timedelta(days=audience.age_below))
    return exists().where(*planted)


def _texted(phone_id: ColumnElement[int], kinds: tuple[str, ...], day: date) -> ColumnElement[bool]:
    return exists().where(
        message.c.phone_id == phone_id,
        message.c.queued_on == day,
        message.c.kind.in_(kinds),
        message.c.state.not_in(NEVER_LEFT),
    )


def _people(audience: Audience, kinds: tuple[str, ...], day: date, now: datetime) -> Select[Any]:
    """Return the farmers of an audience with the phone their texts go to, and the number of a reason against it."""
    moment = literal(now, farmer.c.paused_until.type)
    reason = case(
        (or_(stop_list.c.since.is_not(None), farmer.c.state == FarmerState.STOPPED), _STOPPED),
        (farmer.c.state == FarmerState.PENDING, _PENDING),
        (or_(farmer.c.paused_until > moment, farmer.c.state != FarmerState.ACTIVE), _PAUSED),
        (~farmer.c.alerts, _OFF),
        (_texted(farmer_phone.c.phone_id, kinds, day), _ONE_A_DAY),
        else_=0,
    )
    return (
        select(
            farmer.c.id.label("farmer_id"),
            farmer_phone.c.phone_id,
            farmer.c.language,
            case((farmer.c.lead, 0), else_=1).label("lead"),
            _ELEVATION.label("metres"),
            reason.label("reason"),
        )
        .join(district, district.c.id == farmer.c.district_id)
        .join(farmer_phone, _PREFERRED)
        .join(phone, phone.c.id == farmer_phone.c.phone_id)
        .outerjoin(stop_list, stop_list.c.number_index == phone.c.number_index)
        .where(_wanted(audience, day), farmer.c.state != FarmerState.ERASED)
    )


def _phones(audience: Audience, kinds: tuple[str, ...], day: date, now: datetime) -> Subquery:
    """Return the phones of an audience: lead farmers' first, then from the heights down.

    Farmers who share a phone are one row, in the language of the first of them who can be texted.
    """
    person = _people(audience, kinds, day, now).subquery("person")
    phone_id = person.c.phone_id
    first = (person.c.reason, person.c.lead, person.c.metres.desc(), person.c.farmer_id)
    free = func.sum(case((person.c.reason == 0, 1), else_=0)).over(partition_by=phone_id)
    placed = select(
        *person.c,
        func.row_number().over(partition_by=phone_id, order_by=first).label("place"),
        case((free > 0, free), else_=func.count().over(partition_by=phone_id)).label("farmers"),
    ).subquery("placed")
    in_turn = (
        case((placed.c.reason == 0, 0), else_=1),
        placed.c.lead,
        placed.c.metres.desc(),
        placed.c.phone_id,
    )
    names = {number: reason.value for number, reason in enumerate(_REASONS, start=1)}
    return (
        select(
            placed.c.phone_id,
            placed.c.farmer_id,
            placed.c.language,
            placed.c.farmers,
            case(names, value=placed.c.reason).label("excluded"),
            func.row_number().over(order_by=in_turn).label("turn"),
        )
        .where(placed.c.place == 1)
        .subquery("reached")
    )
