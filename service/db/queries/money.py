"""Sales and costs, and what was picked beside them."""

from collections.abc import Sequence
from dataclasses import asdict, fields
from datetime import date, datetime
from typing import Final

from sqlalchemy import Connection, RowMapping, Select, Table, bindparam, func, insert, select, update

from flows.trading import Basket, CostKind
from service.core.model import HarvestState
from service.core.money_ports import KeptCost, KeptSale, Picked
from service.db.tables.collections import delivery
from service.db.tables.money import cost, sale
from service.db.tables.plots import harvest

_SALE: Final = select(*(sale.c[field.name] for field in fields(KeptSale))).where(
    sale.c.voided_by.is_(None), sale.c.voided_by_officer.is_(None)
)
_COST: Final = select(*(cost.c[field.name] for field in fields(KeptCost))).where(
    cost.c.voided_by.is_(None), cost.c.voided_by_officer.is_(None)
)
_BASKETS: Final = (
    select(
        delivery.c.day,
        delivery.c.accepted_g,
        delivery.c.rejected_g,
        delivery.c.amount,
        delivery.c.payment_id,
    )
    .where(
        delivery.c.farmer_id.in_(bindparam("farmer_ids", expanding=True)),
        delivery.c.day.between(bindparam("first"), bindparam("last")),
        delivery.c.voided_at.is_(None),
        delivery.c.accepted_g > 0,
        delivery.c.currency == bindparam("currency"),
    )
    .order_by(delivery.c.day.desc(), delivery.c.id.desc())
)
_PICKED: Final = (
    select(
        harvest.c.plot_id,
        harvest.c.picked_on.label("on"),
        func.sum(harvest.c.grams).label("grams"),
    )
    .where(
        harvest.c.plot_id.in_(bindparam("plot_ids", expanding=True)),
        harvest.c.picked_on.between(bindparam("first"), bindparam("last")),
        harvest.c.state == HarvestState.COUNTED,
    )
    .group_by(harvest.c.plot_id, harvest.c.picked_on)
    .order_by(harvest.c.picked_on, harvest.c.plot_id)
)


def _last(told: Select[tuple[object, ...]], table: Table) -> Select[tuple[object, ...]]:
    return (
        told.where(table.c.phone_id == bindparam("phone_id"), table.c.at >= bindparam("since"))
        .order_by(table.c.at.desc(), table.c.id.desc())
        .limit(1)
    )


def _on_plots(told: Select[tuple[object, ...]], table: Table, day: str) -> Select[tuple[object, ...]]:
    return told.where(
        table.c.plot_id.in_(bindparam("plot_ids", expanding=True)),
        table.c[day].between(bindparam("first"), bindparam("last")),
    ).order_by(table.c[day].desc(), table.c.id.desc())


_LAST_SALE: Final = _last(_SALE, sale)
_LAST_COST: Final = _last(_COST, cost)
_SALES: Final = _on_plots(_SALE, sale, "sold_on")
_COSTS: Final = _on_plots(_COST, cost, "spent_on")


class MoneyTold:
    """What farmers have told of money."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add_sale(self, new: KeptSale, *, inbound_id: int | None, phone_id: int | None) -> None:
        """Keep a sale."""
        values = {**asdict(new), "inbound_id": inbound_id, "phone_id": phone_id}
        self._connection.execute(insert(sale).values(values))

    def add_cost(self, new: KeptCost, *, inbound_id: int | None, phone_id: int | None) -> None:
        """Keep a cost."""
        values = {**asdict(new), "inbound_id": inbound_id, "phone_id": phone_id}
        self._connection.execute(insert(cost).values(values))

    def void_sale(self, sale_id: int, inbound_id: int) -> None:
        """Take a sale back."""
        self._void(sale, sale_id, inbound_id)

    def void_cost(self, cost_id: int, inbound_id: int) -> None:
        """Take a cost back."""
        self._void(cost, cost_id, inbound_id)

    def take_sale_back(self, plot_id: int, sale_id: int, officer_id: int) -> bool:
        """Take a sale back that an officer has entered; return whether it stood until now."""
        return self._take_back(sale, plot_id, sale_id, officer_id)

    def take_cost_back(self, plot_id: int, cost_id: int, officer_id: int) -> bool:
        """Take a cost back that an officer has entered; return whether it stood until now."""
        return self._take_back(cost, plot_id, cost_id, officer_id)

    def mark_besides(self, plot_id: int, sale_id: int) -> bool:
        """Let a sale be other fruit than what a collection took that day; return whether it was not until now."""
        changed = self._connection.execute(
            update(sale)
            .where(sale.c.id == sale_id, sale.c.plot_id == plot_id, ~sale.c.besides)
            .values(besides=True)
        )
        return changed.rowcount > 0

    def last_sale(self, phone_id: int, since: datetime) -> KeptSale | None:
        """Return the last sale a phone told of since then that was not taken back."""
        row = self._connection.execute(_LAST_SALE, {"phone_id": phone_id, "since": since}).mappings().first()
        return None if row is None else KeptSale(**row)

    def last_cost(self, phone_id: int, since: datetime) -> KeptCost | None:
        """Return the last cost a phone told of since then that was not taken back."""
        row = self._connection.execute(_LAST_COST, {"phone_id": phone_id, "since": since}).mappings().first()
        return None if row is None else _cost(row)

    def sales(self, plot_ids: Sequence[int], first: date, last: date) -> tuple[KeptSale, ...]:
        """Return the sales of some plots from one day to another, the newest first."""
        return tuple(KeptSale(**row) for row in self._between(_SALES, plot_ids, first, last))

    def costs(self, plot_ids: Sequence[int], first: date, last: date) -> tuple[KeptCost, ...]:
        """Return the costs of some plots from one day to another, the newest first."""
        return tuple(_cost(row) for row in self._between(_COSTS, plot_ids, first, last))

    def baskets(
        self, farmer_ids: Sequence[int], currency: str, first: date, last: date
    ) -> tuple[Basket, ...]:
        """Return what collections accepted from farmers from one day to another, the newest first."""
        values = {"farmer_ids": list(farmer_ids), "currency": currency, "first": first, "last": last}
        return tuple(
            Basket(
                on=row.day,
                grams=row.accepted_g,
                came=row.accepted_g + row.rejected_g,
                minor=row.amount,
                owed=0 if row.payment_id else row.amount,
            )
            for row in self._connection.execute(_BASKETS, values)
        )

    def picked(self, plot_ids: Sequence[int], first: date, last: date) -> tuple[Picked, ...]:
        """Return what was picked on some plots from one day to another, a row for each plot and day."""
        found = self._between(_PICKED, plot_ids, first, last)
        return tuple(Picked(plot_id=row["plot_id"], on=row["on"], grams=int(row["grams"])) for row in found)

    def _void(self, table: Table, row_id: int, inbound_id: int) -> None:
        self._connection.execute(update(table).where(table.c.id == row_id).values(voided_by=inbound_id))

    def _take_back(self, table: Table, plot_id: int, row_id: int, officer_id: int) -> bool:
        changed = self._connection.execute(
            update(table)
            .where(
                table.c.id == row_id,
                table.c.plot_id == plot_id,
                table.c.officer_id.is_not(None),
                table.c.voided_by_officer.is_(None),
            )
            .values(voided_by_officer=officer_id)
        )
        return changed.rowcount > 0

    def _between(
        self, statement: Select[tuple[object, ...]], plot_ids: Sequence[int], first: date, last: date
    ) -> Sequence[RowMapping]:
        values = {"plot_ids": list(plot_ids), "first": first, "last": last}
        return self._connection.execute(statement, values).mappings().all()


def _cost(row: RowMapping) -> KeptCost:
    return KeptCost(**{**row, "kind": CostKind(row["kind"])})
