"""What the pages of collections show: who comes on a day, what they bring, and what each is owed."""

from collections.abc import Collection as Several
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy import ColumnElement, Connection, and_, case, func, or_, select

from flows.facts import FarmerState
from service.core.collecting import Collection, Delivery
from service.core.collection_ports import Bringing
from service.db.queries.deliveries import as_delivery
from service.db.queries.sprays import COUNTS
from service.db.tables.collections import delivery, estimate, payment
from service.db.tables.people import farmer, village
from service.db.tables.plots import plot
from service.db.tables.sprays import spray

_STANDS: Final = delivery.c.voided_at.is_(None)
# What is worth nothing, all of it being rejected, is no debt.
_OPEN: Final = and_(delivery.c.payment_id.is_(None), delivery.c.amount > 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Announced:
    """What farmers have said of a collection day: the grams, how many bring some, and how many bring none."""

    grams: int = 0
    bring: int = 0
    bring_none: int = 0

    @classmethod
    def of(cls, told: Several[int]) -> "Announced":
        """Add up what was said, in grams a farmer."""
        bring = sum(grams > 0 for grams in told)
        return cls(grams=sum(told), bring=bring, bring_none=len(told) - bring)


@dataclass(frozen=True, kw_only=True, slots=True)
class Owed:
    """What a farmer brought in some days: grams, and money by currency as `flows.money` counts it.

    What is not paid is in it whatever its day; `since` is the day of the oldest of that, None where all is paid.
    """

    farmer_id: int
    name: str
    collection_id: int
    group: str
    currency: str
    accepted_g: int
    rejected_g: int
    lowest: int
    highest: int
    amount: int
    paid: int
    since: date | None

    @property
    def open(self) -> int:
        """What is not paid yet."""
        return self.amount - self.paid


@dataclass(frozen=True, kw_only=True, slots=True)
class Paid:
    """A payment that stands, with its farmer's name."""

    id: int
    farmer_id: int
    name: str
    amount: int
    currency: str
    paid_on: date


class CollectionLists:
    """Finds the lists of collections."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def bringing(self, collection: Collection, day: date) -> tuple[Bringing, ...]:
        """Return the group's farmers by name, and whoever has brought something although they are of it no more."""
        run = self._connection.execute
        brought = {
            row.farmer_id: as_delivery(row)
            for row in run(
                select(delivery).where(
                    delivery.c.collection_id == collection.id, delivery.c.day == day, _STANDS
                )
            )
        }
        theirs = and_(farmer.c.group_id == collection.group_id, farmer.c.state == FarmerState.ACTIVE)
        people = run(
            select(farmer.c.id, farmer.c.name, village.c.name.label("village"))
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .where(or_(theirs, farmer.c.id.in_(sorted(brought))))
            .order_by(farmer.c.name, farmer.c.id)
        ).all()
        ids = [one.id for one in people]
        expected, held = self._expected(ids, day), self._held(ids, day)
        return tuple(
            Bringing(
                farmer_id=one.id,
                name=one.name,
                village=one.village,
                expected_g=expected.get(one.id),
                pick_from=held.get(one.id),
                brought=brought.get(one.id),
            )
            for one in people
        )

    def announced(
        self, collections: Sequence[Collection], first: date, last: date
    ) -> dict[tuple[int, date], Announced]:
        """Return by collection and day what its group's farmers have said to bring; nothing where nobody has said."""
        rows = self._connection.execute(
            select(farmer.c.group_id, farmer.c.id, estimate.c.for_day, estimate.c.grams)
            .join(estimate, estimate.c.farmer_id == farmer.c.id)
            .where(
                farmer.c.group_id.in_({one.group_id for one in collections}),
                farmer.c.state == FarmerState.ACTIVE,
                estimate.c.for_day.between(first, last),
                estimate.c.voided_by.is_(None),
            )
            # The last word of each farmer is what stays in the dictionary.
            .order_by(estimate.c.id)
        )
        words: dict[tuple[int, date], dict[int, int]] = {}
        for row in rows:
            words.setdefault((row.group_id, row.for_day), {})[row.id] = row.grams
        return {
            (one.id, day): Announced.of(told.values())
            for one in collections
            for (group_id, day), told in words.items()
            if group_id == one.group_id
        }

    def owed(self, collections: Sequence[Collection], first: date, last: date) -> tuple[Owed, ...]:
        """Return what farmers brought to collections on these days and all that is not paid, by name and currency."""
        groups = {one.id: one.group for one in collections}
        paid = case((delivery.c.payment_id.is_not(None), delivery.c.amount), else_=0)
        rows = self._connection.execute(
            select(
                farmer.c.id.label("farmer_id"),
                farmer.c.name,
                delivery.c.collection_id,
                delivery.c.currency,
                func.sum(delivery.c.accepted_g).label("accepted_g"),
                func.sum(delivery.c.rejected_g).label("rejected_g"),
                func.min(delivery.c.price).label("lowest"),
                func.max(delivery.c.price).label("highest"),
                func.sum(delivery.c.amount).label("amount"),
                func.sum(paid).label("paid"),
                func.min(case((_OPEN, delivery.c.day))).label("since"),
            )
            .join(farmer, farmer.c.id == delivery.c.farmer_id)
            .where(
                delivery.c.collection_id.in_(sorted(groups)),
                or_(_within(first, last), _OPEN),
                _STANDS,
            )
            .group_by(farmer.c.id, farmer.c.name, delivery.c.collection_id, delivery.c.currency)
            .order_by(farmer.c.name, farmer.c.id)
        )
        return tuple(
            Owed(
                farmer_id=row.farmer_id,
                name=row.name,
                collection_id=row.collection_id,
                group=groups[row.collection_id],
                currency=row.currency,
                accepted_g=int(row.accepted_g),
                rejected_g=int(row.rejected_g),
                lowest=row.lowest,
                highest=row.highest,
                amount=int(row.amount),
                paid=int(row.paid),
                since=row.since,
            )
            for row in rows
        )

    def unpaid(self, collections: Sequence[Collection], farmer_id: int | None) -> tuple[Delivery, ...]:
        """Return what is not paid of these collections, of one farmer or of all, whatever its day."""
        rows = self._connection.execute(
            select(delivery).where(
                delivery.c.collection_id.in_([one.id for one in collections]),
                _STANDS,
                _OPEN,
                *([] if farmer_id is None else [delivery.c.farmer_id == farmer_id]),
            )
        )
        return tuple(as_delivery(row) for row in rows)

    def payments(self, collections: Sequence[Collection], first: date, last: date) -> tuple[Paid, ...]:
        """Return the payments made on these days, or for something of them, the newest first."""
        covering = (
            select(delivery.c.payment_id)
            .join(payment, payment.c.id == delivery.c.payment_id)
            .where(
                delivery.c.collection_id.in_([one.id for one in collections]),
                or_(_within(first, last), payment.c.paid_on.between(first, last)),
            )
        )
        rows = self._connection.execute(
            select(
                payment.c.id,
                payment.c.farmer_id,
                farmer.c.name,
                payment.c.amount,
                payment.c.currency,
                payment.c.paid_on,
            )
            .join(farmer, farmer.c.id == payment.c.farmer_id)
            .where(payment.c.id.in_(covering), payment.c.voided_at.is_(None))
            .order_by(payment.c.id.desc())
        )
        return tuple(Paid(**row) for row in rows.mappings())

    def of_farmer(self, farmer_id: int, most: int) -> tuple[Delivery, ...]:
        """Return what a farmer brought, the newest first."""
        rows = self._connection.execute(
            select(delivery)
            .where(delivery.c.farmer_id == farmer_id, _STANDS)
            .order_by(delivery.c.day.desc(), delivery.c.id.desc())
            .limit(most)
        )
        return tuple(as_delivery(row) for row in rows)

    def _expected(self, farmer_ids: Sequence[int], day: date) -> dict[int, int]:
        rows = self._connection.execute(
            select(estimate.c.farmer_id, estimate.c.grams)
            .where(
                estimate.c.farmer_id.in_(farmer_ids),
                estimate.c.for_day == day,
                estimate.c.voided_by.is_(None),
            )
            # The last word of each farmer is what stays in the dictionary.
            .order_by(estimate.c.id)
        )
        return {row.farmer_id: row.grams for row in rows}

    def _held(self, farmer_ids: Sequence[int], day: date) -> dict[int, date]:
        rows = self._connection.execute(
            select(plot.c.farmer_id, func.max(spray.c.pick_from).label("pick_from"))
            .join(spray, spray.c.plot_id == plot.c.id)
            .where(
                plot.c.farmer_id.in_(farmer_ids),
                plot.c.closed_on.is_(None),
                COUNTS,
                spray.c.sprayed_on <= day,
                spray.c.pick_from > day,
            )
            .group_by(plot.c.farmer_id)
        )
        return {row.farmer_id: row.pick_from for row in rows}


def _within(first: date, last: date) -> ColumnElement[bool]:
    return delivery.c.day.between(first, last)
