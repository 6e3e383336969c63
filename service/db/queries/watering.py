"""Farmers' cans and rain gauges."""

from collections.abc import Mapping
from datetime import date, datetime

from sqlalchemy import Connection, bindparam, insert, select, update

from flows.watering import Means
from service.core.water_ports import SavedRain
from service.db.tables.watering import container, rain_report
from service.db.upsert import insert_or_update

_LAST = (
    select(rain_report)
    .where(
        rain_report.c.phone_id == bindparam("phone_id"),
        rain_report.c.at >= bindparam("since"),
        rain_report.c.voided_by.is_(None),
    )
    .order_by(rain_report.c.at.desc(), rain_report.c.id.desc())
    .limit(1)
)


class Watering:
    """Reads and keeps what farmers have told of their water."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def means_of(self, farmer_id: int) -> tuple[Means, int] | None:
        """Return what a farmer gives water with, and its millilitres; None where nobody told."""
        found = select(container.c.kind, container.c.millilitres).where(container.c.farmer_id == farmer_id)
        row = self._connection.execute(found).one_or_none()
        return None if row is None else (Means(row.kind), row.millilitres)

    def set_means(self, farmer_id: int, means: Means, millilitres: int, at: datetime) -> None:
        """Keep what a farmer gives water with, in place of what was told before."""
        new = insert_or_update(self._connection.dialect.name, container, "farmer_id")
        values = {"farmer_id": farmer_id, "kind": means, "millilitres": millilitres, "at": at}
        self._connection.execute(new.values(values))

    def rain(self, farmer_id: int, first: date, last: date) -> Mapping[date, int]:
        """Return tenths of a millimetre by day: the last report of each day that was not taken back."""
        found = (
            select(rain_report.c.day, rain_report.c.tenths_mm)
            .where(
                rain_report.c.farmer_id == farmer_id,
                rain_report.c.day >= first,
                rain_report.c.day <= last,
                rain_report.c.voided_by.is_(None),
            )
            # Ids rise with time: the last one of a day is what stays in the dictionary.
            .order_by(rain_report.c.day, rain_report.c.id)
        )
        return {row.day: row.tenths_mm for row in self._connection.execute(found)}

    def add_rain(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        farmer_id: int,
        day: date,
        tenths_mm: int,
        inbound_id: int,
        phone_id: int,
        at: datetime,
    ) -> None:
        """Keep what a gauge was said to hold."""
        self._connection.execute(
            insert(rain_report).values(
                id=id,
                farmer_id=farmer_id,
                day=day,
                tenths_mm=tenths_mm,
                inbound_id=inbound_id,
                phone_id=phone_id,
                at=at,
            )
        )

    def void_rain(self, report_id: int, inbound_id: int) -> None:
        """Take a report back; an earlier one of that day holds again."""
        self._connection.execute(
            update(rain_report).where(rain_report.c.id == report_id).values(voided_by=inbound_id)
        )

    def last_rain(self, phone_id: int, since: datetime) -> SavedRain | None:
        """Return the last report of a phone since then that was not taken back."""
        row = self._connection.execute(_LAST, {"phone_id": phone_id, "since": since}).first()
        if row is None:
            return None
        return SavedRain(id=row.id, farmer_id=row.farmer_id, on=row.day, tenths=row.tenths_mm, at=row.at)
