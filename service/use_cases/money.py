"""Money: what is known of a farmer's sales, costs and prices, and keeping what is told.

Only amounts in the programme's currency are counted: one that has changed its currency begins anew.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol

from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Input
from flows.money import Currency, per_kilo
from flows.moves.sales import OLDEST
from flows.trading import CostKind, Price, Purse, SaveCost, SaveSale, Sold, VoidCost, VoidSale, Year, YearTold
from service.core.model import Inbound, Plot
from service.core.money_ports import KeptCost, KeptSale, MoneyRows, PriceRows
from service.core.people_ports import People
from service.core.plot_ports import Plots
from service.core.ports import Work
from service.use_cases.earnings import Earnings, earnings_of
from service.use_cases.tools import Tools

# A price that is older says nothing of today's: common practice, no source.
PRICES_HOLD: Final = timedelta(days=30)
_MONTHS: Final = 12
# So many of the last sales tell what a kilo usually brings.
_LAST_SALES: Final = 5


class MoneyWork(Protocol):
    """A unit of work, as far as money needs it."""

    @property
    def people(self) -> People:
        """The districts."""
        ...

    @property
    def plots(self) -> Plots:
        """The plots."""
        ...

    @property
    def money(self) -> MoneyRows:
        """Sales, costs, and what was picked."""
        ...

    @property
    def prices(self) -> PriceRows:
        """Prices of markets."""
        ...


def year_begins(on: date) -> date:
    """Return the first day of the twelve calendar months of which the last is that of `on`."""
    return date(on.year - 1, on.month + 1, 1) if on.month < _MONTHS else date(on.year, 1, 1)


def with_money(work: MoneyWork, tools: Tools, facts: Facts, said: Input) -> Facts:
    """Return the facts with what is known of each farmer's money, where a text is about money.

    Nobody else's text waits for it.
    """
    if not isinstance(said, Sold | Price | Year):
        return facts
    districts = {one.name: one.id for one in work.people.districts()}

    def gathered(farmer: Farmer) -> Farmer:
        if farmer.state is not FarmerState.ACTIVE:
            return farmer
        plots = work.plots.of_farmer(farmer.id)
        currency = tools.programme.currency
        return replace(
            farmer,
            purse=Purse(
                quotes=work.prices.newest(
                    [districts[farmer.district]], currency.code, facts.on - PRICES_HOLD
                ),
                kilo_prices=_kilo_prices(work, plots, currency, facts.on),
                year=year_of(work, plots, currency, facts.on),
                baskets=work.money.baskets([farmer.id], currency.code, facts.on - OLDEST, facts.on),
            ),
        )

    return replace(facts, farmers=tuple(map(gathered, facts.farmers)))


def _kilo_prices(work: MoneyWork, plots: Sequence[Plot], currency: Currency, on: date) -> tuple[int, ...]:
    sales = _earned(work, plots, currency, on).sales[:_LAST_SALES]
    return tuple(per_kilo(sale.minor, sale.grams) for sale in sales)


def _earned(work: MoneyWork, plots: Sequence[Plot], currency: Currency, on: date) -> Earnings:
    return earnings_of(
        work.money,
        currency.code,
        year_begins(on),
        on,
        plots=[plot.id for plot in plots],
        farmers=sorted({plot.farmer_id for plot in plots}),
    )


def _costs(work: MoneyWork, plots: Sequence[Plot], currency: Currency, on: date) -> tuple[KeptCost, ...]:
    costs = work.money.costs([plot.id for plot in plots], year_begins(on), on)
    return tuple(cost for cost in costs if cost.currency == currency.code)


def year_of(work: MoneyWork, plots: Sequence[Plot], currency: Currency, on: date) -> YearTold:
    """Return twelve months of some plots, of which the last is that of `on`, by what was told of them."""
    earned, costs = _earned(work, plots, currency, on), _costs(work, plots, currency, on)
    told = work.money.picked([plot.id for plot in plots], year_begins(on), on)
    picked = [one for one in told if one.grams]
    bore = {one.plot_id for one in picked}
    days = [
        *(one.on for one in picked),
        *(one.on for one in earned.all),
        *(cost.spent_on for cost in costs),
    ]
    return YearTold(
        picked=sum(one.grams for one in picked),
        plants=sum(plot.plants for plot in plots if plot.closed_on is None or plot.id in bore),
        sold=earned.grams,
        money_in=earned.minor,
        money_out=sum(cost.minor for cost in costs),
        months=len({day.month for day in days}),
    )


def costs_by_kind(
    work: MoneyWork, plots: Sequence[Plot], currency: Currency, on: date
) -> Mapping[CostKind, int]:
    """Return what was spent in these months on each kind of cost, the largest sum first."""
    sums: dict[CostKind, int] = {}
    for cost in _costs(work, plots, currency, on):
        sums[cost.kind] = sums.get(cost.kind, 0) + cost.minor
    return dict(sorted(sums.items(), key=lambda pair: -pair[1]))


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthTold:
    """One calendar month of a farmer by what was told, in grams and the smallest money; `first` is its first day."""

    first: date
    picked: int
    sold: int
    money_in: int
    money_out: int


def months_of(work: MoneyWork, plots: Sequence[Plot], currency: Currency, on: date) -> tuple[MonthTold, ...]:
    """Return the twelve months of which the last is that of `on`, each with what was told of it."""
    begin = year_begins(on)
    earned, costs = _earned(work, plots, currency, on).all, _costs(work, plots, currency, on)
    picked = work.money.picked([plot.id for plot in plots], begin, on)
    months = (divmod(begin.month - 1 + place, _MONTHS) for place in range(_MONTHS))
    firsts = [date(begin.year + years, month + 1, 1) for years, month in months]
    return tuple(
        MonthTold(
            first=first,
            picked=sum(one.grams for one in picked if one.on.replace(day=1) == first),
            sold=sum(one.grams for one in earned if one.on.replace(day=1) == first),
            money_in=sum(one.minor for one in earned if one.on.replace(day=1) == first),
            money_out=sum(cost.minor for cost in costs if cost.spent_on.replace(day=1) == first),
        )
        for first in firsts
    )


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    tools: Tools
    inbound: Inbound
    now: datetime


def _save_sale(carry: Carried, effect: SaveSale) -> None:
    sale = KeptSale(
        id=effect.id,
        plot_id=effect.plot_id,
        sold_on=effect.on,
        grams=effect.grams,
        minor=effect.minor,
        currency=carry.tools.programme.currency.code,
        buyer=effect.buyer,
        at=carry.now,
        besides=effect.besides,
    )
    carry.work.money.add_sale(sale, inbound_id=carry.inbound.id, phone_id=carry.inbound.phone_id)


def _void_sale(carry: Carried, effect: VoidSale) -> None:
    carry.work.money.void_sale(effect.id, carry.inbound.id)


def _save_cost(carry: Carried, effect: SaveCost) -> None:
    cost = KeptCost(
        id=effect.id,
        plot_id=effect.plot_id,
        spent_on=effect.on,
        kind=effect.kind,
        minor=effect.minor,
        currency=carry.tools.programme.currency.code,
        at=carry.now,
    )
    carry.work.money.add_cost(cost, inbound_id=carry.inbound.id, phone_id=carry.inbound.phone_id)


def _void_cost(carry: Carried, effect: VoidCost) -> None:
    carry.work.money.void_cost(effect.id, carry.inbound.id)


MONEY: Final[dict[type[Any], Callable[[Any, Any], None]]] = {
    SaveSale: _save_sale,
    VoidSale: _void_sale,
    SaveCost: _save_cost,
    VoidCost: _void_cost,
}
