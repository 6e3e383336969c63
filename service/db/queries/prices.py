"""Prices of markets."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from typing import Final

from sqlalchemy import Connection, bindparam, insert, select

from flows.trading import Quoted
from service.core.money_ports import ListedPrice, NewPrice
from service.db.tables.money import price
from service.db.tables.staff import officer

_SINCE: Final = (
    select(price.c.district_id, price.c.market, price.c.crop_class, price.c.minor, price.c.quoted_on)
    .where(
        price.c.district_id.in_(bindparam("district_ids", expanding=True)),
        price.c.quoted_on >= bindparam("since"),
        price.c.currency == bindparam("currency"),
    )
    .order_by(price.c.quoted_on.desc(), price.c.id.desc())
)

_LISTED: Final = (
    select(
        price.c.market,
        price.c.crop_class,
        price.c.minor,
        price.c.currency,
        price.c.quoted_on,
        officer.c.name.label("officer"),
    )
    .join_from(price, officer, officer.c.id == price.c.officer_id, isouter=True)
    .where(price.c.district_id == bindparam("district_id"), price.c.quoted_on >= bindparam("since"))
    .order_by(price.c.quoted_on.desc(), price.c.id.desc())
    .limit(bindparam("most"))
)


class Prices:
    """What a kilo brings, by market."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(self, new: NewPrice) -> None:
        """Keep a price; an older one of that market and class no longer holds."""
        self._connection.execute(insert(price).values(asdict(new)))

    def newest(self, district_ids: Sequence[int], currency: str, since: date) -> tuple[Quoted, ...]:
        """Return of each market and class the price that holds, if it is of that day or later; the newest first."""
        values = {"district_ids": list(district_ids), "currency": currency, "since": since}
        holding: dict[tuple[int, str, str], Quoted] = {}
        for row in self._connection.execute(_SINCE, values):
            quoted = Quoted(market=row.market, crop_class=row.crop_class, minor=row.minor, on=row.quoted_on)
            holding.setdefault((row.district_id, row.market, row.crop_class), quoted)
        return tuple(holding.values())

    def listed(self, district_id: int, since: date, most: int) -> tuple[ListedPrice, ...]:
        """Return the last prices of a district from a day on, the newest first, those that hold no more as well."""
        values = {"district_id": district_id, "since": since, "most": most}
        return tuple(ListedPrice(**row) for row in self._connection.execute(_LISTED, values).mappings())
