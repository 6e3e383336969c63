"""Whom an alert reached or would reach, by name: the farmers behind its phones, as far as an officer may see them."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, and_, func, select

from flows.facts import FarmerState
from service.core.alert_ports import OtherAlerts
from service.core.alerts import Answer, Audience
from service.core.kinds import MessageState
from service.db.queries.audience import phones_of
from service.db.queries.scope import Districts, within
from service.db.tables.alerts import alert_recipient
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, phone, village


@dataclass(frozen=True, kw_only=True, slots=True)
class ReachedLine:
    """A farmer of an alert's audience.

    Attributes:
        farmers: how many farmers of the audience share the phone, this one with them.
        excluded: why the phone gets no text; None if it does.
        state: where its text stands; None without one.
        at: since when it stands there.
    """

    farmer_id: int
    name: str
    village: str | None
    district: str
    last3: str
    farmers: int
    excluded: str | None
    state: MessageState | None
    at: datetime | None
    answer: Answer | None


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedLine:
    """A farmer whom a draft would text; `farmers` of the audience share the phone, this one with them."""

    farmer_id: int
    name: str
    village: str | None
    district: str
    last3: str
    farmers: int


class Reached:
    """Reads the recipients of alerts by name."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def page(self, alert_id: int, districts: Districts, *, limit: int, skip: int) -> tuple[ReachedLine, ...]:
        """Return so many farmers of an alert, those with a text first, by name; those of `districts` alone.

        Who was erased, or lives elsewhere by now, is not among them.
        """
        found = (
            select(
                alert_recipient.c.farmer_id,
                farmer.c.name,
                village.c.name.label("village"),
                district.c.name.label("district"),
                phone.c.last3,
                alert_recipient.c.farmers,
                alert_recipient.c.excluded,
                message.c.state,
                message.c.state_at.label("at"),
                alert_recipient.c.answer,
            )
            .join(farmer, farmer.c.id == alert_recipient.c.farmer_id)
            .join(district, district.c.id == farmer.c.district_id)
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .join(phone, phone.c.id == alert_recipient.c.phone_id)
            .outerjoin(
                message,
                and_(
                    message.c.queued_on == alert_recipient.c.message_day,
                    message.c.id == alert_recipient.c.message_id,
                ),
            )
            .where(_theirs(alert_id, districts))
            .order_by(alert_recipient.c.excluded.is_not(None), farmer.c.name, farmer.c.id)
            .limit(limit)
            .offset(skip)
        )
        return tuple(
            ReachedLine(
                **{
                    **row,
                    "state": MessageState(row["state"]) if row["state"] else None,
                    "answer": Answer(row["answer"]) if row["answer"] else None,
                }
            )
            for row in self._connection.execute(found).mappings()
        )

    def planned(
        self,
        audience: Audience,
        *,
        languages: Collection[str],
        others: OtherAlerts,
        now: datetime,
        limit: int,
    ) -> tuple[PlannedLine, ...]:
        """Return so many farmers, by name, whom an alert in these languages would text if it were confirmed now.

        The audience is one that the officer covers whole.
        """
        found = phones_of(audience, others, now)
        rows = self._connection.execute(
            select(
                found.c.farmer_id,
                farmer.c.name,
                village.c.name.label("village"),
                district.c.name.label("district"),
                phone.c.last3,
                found.c.farmers,
            )
            .join(farmer, farmer.c.id == found.c.farmer_id)
            .join(district, district.c.id == farmer.c.district_id)
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .join(phone, phone.c.id == found.c.phone_id)
            .where(found.c.excluded.is_(None), found.c.language.in_(sorted(languages)))
            .order_by(farmer.c.name, farmer.c.id)
            .limit(limit)
        )
        return tuple(PlannedLine(**row) for row in rows.mappings())

    def count(self, alert_id: int, districts: Districts) -> int:
        """Return how many farmers the pages hold."""
        found = (
            select(func.count())
            .select_from(alert_recipient)
            .join(farmer, farmer.c.id == alert_recipient.c.farmer_id)
            .where(_theirs(alert_id, districts))
        )
        return self._connection.execute(found).scalar_one()


def _theirs(alert_id: int, districts: Districts) -> ColumnElement[bool]:
    return and_(
        alert_recipient.c.alert_id == alert_id, farmer.c.state != FarmerState.ERASED, within(districts)
    )
