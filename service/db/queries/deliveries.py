"""What was brought to collections, and what was paid for it."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from service.core.collecting import Delivery, Payment, WhyRejected
from service.db.tables.collections import delivery, payment

_STANDS = delivery.c.voided_at.is_(None)


class Deliveries:
    """Reads and keeps deliveries and payments."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(self, new: Delivery) -> None:
        """Keep a delivery; the farmer has no other that stands on that day."""
        self._connection.execute(insert(delivery).values(asdict(new)))

    def of(self, collection_id: int, day: date, farmer_id: int) -> Delivery | None:
        """Return what a farmer brought to a collection on a day, None where nothing stands."""
        row = self._connection.execute(
            select(delivery).where(
                delivery.c.collection_id == collection_id,
                delivery.c.day == day,
                delivery.c.farmer_id == farmer_id,
                _STANDS,
            )
        ).first()
        return as_delivery(row) if row else None

    def get(self, delivery_id: int) -> Delivery | None:
        """Return a delivery, one that was taken back as well."""
        row = self._connection.execute(select(delivery).where(delivery.c.id == delivery_id)).first()
        return as_delivery(row) if row else None

    def baskets(self, farmer_id: int, before: date, most: int) -> tuple[int, ...]:
        """Return the grams of a farmer's last deliveries before a day, accepted or not."""
        rows = self._connection.scalars(
            select(delivery.c.accepted_g + delivery.c.rejected_g)
            .where(delivery.c.farmer_id == farmer_id, delivery.c.day < before, _STANDS)
            .order_by(delivery.c.day.desc(), delivery.c.id.desc())
            .limit(most)
        )
        return tuple(rows)

    def void(self, delivery_id: int, officer_id: int, at: datetime) -> bool:
        """Take a delivery back that is not paid; return whether it stood until now."""
        changed = self._connection.execute(
            update(delivery)
            .where(delivery.c.id == delivery_id, _STANDS, delivery.c.payment_id.is_(None))
            .values(voided_at=at, voided_by=officer_id)
        )
        return changed.rowcount > 0

    def last_price(self, collection_id: int) -> int | None:
        """Return the price of a kilo at which the last delivery was taken."""
        found = self._connection.scalar(
            select(delivery.c.price)
            .where(delivery.c.collection_id == collection_id, _STANDS)
            .order_by(delivery.c.day.desc(), delivery.c.id.desc())
            .limit(1)
        )
        return None if found is None else int(found)

    def pay(self, new: Payment, delivery_ids: Sequence[int]) -> int:
        """Keep a payment for deliveries; return how many of them nobody had paid before."""
        self._connection.execute(insert(payment).values(asdict(new)))
        changed = self._connection.execute(
            update(delivery)
            .where(delivery.c.id.in_(delivery_ids), _STANDS, delivery.c.payment_id.is_(None))
            .values(payment_id=new.id)
        )
        return changed.rowcount

    def payment(self, payment_id: int) -> Payment | None:
        """Return a payment that stands, None if there is none."""
        row = self._connection.execute(
            select(payment).where(payment.c.id == payment_id, payment.c.voided_at.is_(None))
        ).first()
        if row is None:
            return None
        return Payment(
            id=row.id,
            farmer_id=row.farmer_id,
            amount=row.amount,
            currency=row.currency,
            paid_on=row.paid_on,
            officer_id=row.officer_id,
            at=row.at,
        )

    def void_payment(self, payment_id: int, officer_id: int, at: datetime) -> bool:
        """Take a payment back: its deliveries are owed again; return whether it stood until now."""
        changed = self._connection.execute(
            update(payment)
            .where(payment.c.id == payment_id, payment.c.voided_at.is_(None))
            .values(voided_at=at, voided_by=officer_id)
        )
        self._connection.execute(
            update(delivery).where(delivery.c.payment_id == payment_id).values(payment_id=None)
        )
        return changed.rowcount > 0


def as_delivery(row: Row[Any]) -> Delivery:
    """Return a row of the table delivery as a value."""
    return Delivery(
        id=row.id,
        collection_id=row.collection_id,
        farmer_id=row.farmer_id,
        day=row.day,
        accepted_g=row.accepted_g,
        rejected_g=row.rejected_g,
        reason=None if row.reason is None else WhyRejected(row.reason),
        words=row.words,
        under_hold=row.under_hold,
        price=row.price,
        amount=row.amount,
        currency=row.currency,
        officer_id=row.officer_id,
        at=row.at,
        payment_id=row.payment_id,
    )
