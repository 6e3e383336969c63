"""The gross margin of a plot by what was told and brought: this year's earnings less this year's share of its costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.money import per_kilo
from flows.trading import CostKind
from service.agronomy.calendar import END
from service.agronomy.margin import Cost, Income, Margin, margin_of
from service.core.money_ports import KeptCost, MoneyRows
from service.use_cases.earnings import Earnings, earnings_of
from service.use_cases.money import year_begins
from service.use_cases.tools import Tools

# Plants bear as long as a stand lasts; what was paid for them before this year has a share in it.
_STAND: Final = timedelta(days=END)
STAND_MONTHS: Final = 36


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotMoney:
    """Money of a plot in the twelve calendar months that end with today's.

    Attributes:
        first: the first day of them.
        earned: sales, and what collections accepted.
        costs: the newest first; plants that were paid for in an earlier year, too.
        margin: None where neither a sale nor a cost was told.
        others: amounts that were told in another currency, which are not counted.
    """

    first: date
    earned: Earnings
    costs: tuple[KeptCost, ...]
    margin: Margin | None
    others: int


def money_of_plot(
    rows: MoneyRows, tools: Tools, plot_id: int, on: date, *, farmer_id: int, newest: bool
) -> PlotMoney:
    """Gather the money of a plot; what its farmer brought to collections is put down to their `newest` plot."""
    currency, first = tools.programme.currency, year_begins(on)
    earned = earnings_of(
        rows, currency.code, first, on, plots=[plot_id], farmers=[farmer_id], with_baskets=newest
    )
    counted = [cost for cost in rows.costs([plot_id], on - _STAND, on) if _counts(cost, first)]
    own_costs = tuple(cost for cost in counted if cost.currency == currency.code)
    grams, received = earned.grams, earned.minor
    income = Income(grams=grams, price_per_kg=per_kilo(received, grams) if grams else 0, received=received)
    told = bool(earned.all or own_costs)
    return PlotMoney(
        first=first,
        earned=earned,
        costs=own_costs,
        margin=margin_of(currency.code, income, _costs(own_costs)) if told else None,
        others=earned.others + len(counted) - len(own_costs),
    )


def _counts(cost: KeptCost, first: date) -> bool:
    return cost.spent_on >= first or cost.kind is CostKind.SEEDLINGS


def _costs(costs: Sequence[KeptCost]) -> list[Cost]:
    return [
        Cost(
            what=cost.kind,
            minor=cost.minor,
            serves_months=STAND_MONTHS if cost.kind is CostKind.SEEDLINGS else None,
        )
        for cost in costs
    ]
