"""What farmers have said to bring to a collection."""

from datetime import date, datetime

from sqlalchemy import Connection, bindparam, insert, select, update

from service.core.collecting import SavedEstimate
from service.db.tables.collections import estimate

_LAST = (
    select(estimate)
    .where(
        estimate.c.phone_id == bindparam("phone_id"),
        estimate.c.at >= bindparam("since"),
        estimate.c.voided_by.is_(None),
    )
    .order_by(estimate.c.at.desc(), estimate.c.id.desc())
    .limit(1)
)
_OF = (
    select(estimate.c.grams)
    .where(
        estimate.c.farmer_id == bindparam("farmer_id"),
        estimate.c.for_day == bindparam("day"),
        estimate.c.voided_by.is_(None),
    )
    .order_by(estimate.c.id.desc())
    .limit(1)
)


class Estimates:
    """Reads and keeps estimates."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        farmer_id: int,
        for_day: date,
        grams: int,
        inbound_id: int,
        phone_id: int,
        at: datetime,
    ) -> None:
        """Keep what a farmer has said to bring."""
        self._connection.execute(
            insert(estimate).values(
                id=id,
                farmer_id=farmer_id,
                for_day=for_day,
                grams=grams,
                inbound_id=inbound_id,
                phone_id=phone_id,
                at=at,
            )
        )

    def void(self, estimate_id: int, inbound_id: int) -> None:
        """Take an estimate back; an earlier one of that day holds again."""
        self._connection.execute(
            update(estimate).where(estimate.c.id == estimate_id).values(voided_by=inbound_id)
        )

    def of(self, farmer_id: int, day: date) -> int | None:
        """Return the grams that a farmer has said to bring on a day, None where nothing was said."""
        found = self._connection.scalar(_OF, {"farmer_id": farmer_id, "day": day})
        return None if found is None else int(found)

    def last_saved(self, phone_id: int, since: datetime) -> SavedEstimate | None:
        """Return the last estimate of a phone since then that was not taken back."""
        row = self._connection.execute(_LAST, {"phone_id": phone_id, "since": since}).first()
        if row is None:
            return None
        return SavedEstimate(id=row.id, farmer_id=row.farmer_id, on=row.for_day, grams=row.grams, at=row.at)
