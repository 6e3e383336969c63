"""Whom an alert is for, as one statement: the phones of an audience, in turn, each with what speaks against a text."""

from datetime import date, datetime, timedelta
from typing import Any, Final

from sqlalchemy import ColumnElement, Select, Subquery, and_, case, exists, func, literal, or_, select

from flows.facts import FarmerState
from service.core.alert_ports import OtherAlerts
from service.core.alert_states import PROMISED
from service.core.alerts import Audience, Excluded
from service.core.kinds import NEVER_LEFT
from service.db.tables.alerts import alert, alert_recipient
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, farmer_phone, phone, stop_list
from service.db.tables.plots import plot

# A reason stands for its number while the database sorts them; 0 is none.
REASONS: Final = (
    Excluded.STOPPED,
    Excluded.PENDING,
    Excluded.PAUSED,
    Excluded.ALERTS_OFF,
    Excluded.ONE_A_DAY,
)
_STOPPED, _PENDING, _PAUSED, _OFF, _ONE_A_DAY = range(1, len(REASONS) + 1)
_ELEVATION: Final = func.coalesce(
    select(func.max(plot.c.elevation_m))
    .where(plot.c.farmer_id == farmer.c.id, plot.c.live)
    .scalar_subquery(),
    district.c.elevation_m,
    0,
)
# Found once from the few who have said stop, not by the number of every phone.
_STOPPED_PHONES: Final = select(phone.c.id).join(stop_list, stop_list.c.number_index == phone.c.number_index)
PREFERRED: Final = and_(
    farmer_phone.c.farmer_id == farmer.c.id, farmer_phone.c.preferred, farmer_phone.c.until.is_(None)
)


def wanted(audience: Audience, on: date) -> ColumnElement[bool]:
    """Return the condition for a farmer to be in the audience, erased ones apart."""
    narrowed: list[ColumnElement[bool]] = [
        column.in_(sorted(chosen))
        for column, chosen in (
            (farmer.c.village_id, audience.villages),
            (farmer.c.group_id, audience.groups),
            (farmer.c.language, audience.languages),
        )
        if chosen
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


def texted(phone_id: ColumnElement[int], others: OtherAlerts) -> ColumnElement[bool]:
    """Return the condition that a phone has a text of the other alerts, or one that waits."""
    return exists().where(message.c.phone_id == phone_id, of_others(others))


def of_others(others: OtherAlerts) -> ColumnElement[bool]:
    """Return the condition for a message to be of the other alerts, and to have left or still to leave."""
    return and_(
        message.c.queued_on == others.day,
        message.c.kind.in_(others.kinds),
        message.c.state.not_in(NEVER_LEFT),
    )


def promised(phone_id: ColumnElement[int], others: OtherAlerts) -> ColumnElement[bool]:
    """Return the condition that another alert has a phone among its recipients and no message for it yet."""
    return exists().where(alert_recipient.c.phone_id == phone_id, to_come(others))


def to_come(others: OtherAlerts) -> ColumnElement[bool]:
    """Return the condition for a recipient to be of the other alerts that were confirmed, without a message yet."""
    return and_(
        alert_recipient.c.alert_id == alert.c.id,
        alert_recipient.c.excluded.is_(None),
        alert_recipient.c.message_id.is_(None),
        alert.c.state.in_(PROMISED),
        alert.c.kind.in_(others.kinds),
        alert.c.send_at >= others.begins,
        alert.c.send_at < others.ends,
    )


def _people(audience: Audience, others: OtherAlerts, now: datetime) -> Select[Any]:
    """Return the farmers of an audience with the phone their texts go to, and the number of a reason against it."""
    moment = literal(now, farmer.c.paused_until.type)
    reason = case(
        (or_(farmer_phone.c.phone_id.in_(_STOPPED_PHONES), farmer.c.state == FarmerState.STOPPED), _STOPPED),
        (farmer.c.state == FarmerState.PENDING, _PENDING),
        (or_(farmer.c.paused_until > moment, farmer.c.state != FarmerState.ACTIVE), _PAUSED),
        (~farmer.c.alerts, _OFF),
        (texted(farmer_phone.c.phone_id, others), _ONE_A_DAY),
        (promised(farmer_phone.c.phone_id, others), _ONE_A_DAY),
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
        .join(farmer_phone, PREFERRED)
        .where(wanted(audience, others.day), farmer.c.state != FarmerState.ERASED)
    )


def phones_of(audience: Audience, others: OtherAlerts, now: datetime) -> Subquery:
    """Return the phones of an audience: lead farmers' first, then from the heights down.

    Farmers who share a phone are one row, in the language of the first of them who can be texted.
    """
    person = _people(audience, others, now).subquery("person")
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
    names = {number: reason.value for number, reason in enumerate(REASONS, start=1)}
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
