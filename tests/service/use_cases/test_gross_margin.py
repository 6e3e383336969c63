"""A plot's gross margin from what was told of it; figures are reckoned by hand beside each."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Final

import pytest

from flows.trading import CostKind
from service.core.money_ports import KeptCost, KeptSale
from service.use_cases.gross_margin import PlotMoney, money_of_plot
from service.use_cases.money import year_begins
from tests.village import Village

TODAY: Final = date(2026, 11, 25)
NOW: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def sale(grams: int, minor: int, on: date = TODAY, currency: str = "TZS") -> KeptSale:
    """Return a sale."""
    return KeptSale(
        id=0, plot_id=1, sold_on=on, grams=grams, minor=minor, currency=currency, buyer=None, at=NOW
    )


def cost(kind: CostKind, minor: int, on: date = TODAY) -> KeptCost:
    """Return a cost."""
    return KeptCost(id=0, plot_id=1, spent_on=on, kind=kind, minor=minor, currency="TZS", at=NOW)


@pytest.fixture
def plot_id(village: Village) -> int:
    """The plot of a farmer."""
    village.phone().joins(days_ago=200)
    return int(str(village.row("SELECT id FROM plot")["id"]))


def reckon(
    village: Village, plot_id: int, sales: Sequence[KeptSale] = (), costs: Sequence[KeptCost] = ()
) -> PlotMoney:
    """Keep sales and costs of a plot and return its money."""
    with village.database.work() as work:
        for one in sales:
            kept = replace(one, id=village.tools.ids.row(), plot_id=plot_id)
            work.money.add_sale(kept, inbound_id=1, phone_id=1)
        for other in costs:
            paid = replace(other, id=village.tools.ids.row(), plot_id=plot_id)
            work.money.add_cost(paid, inbound_id=1, phone_id=1)
        return money_of_plot(work.money, village.tools, plot_id, TODAY, farmer_id=1, newest=True)


@pytest.mark.parametrize(
    ("on", "first"),
    [
        (date(2026, 11, 25), date(2025, 12, 1)),
        (date(2026, 12, 31), date(2026, 1, 1)),
        (date(2027, 1, 1), date(2026, 2, 1)),
        (date(2028, 2, 29), date(2027, 3, 1)),
    ],
)
def test_a_year_is_twelve_calendar_months(on: date, first: date) -> None:
    """The last is that of the day itself."""
    assert first == year_begins(on)


def test_sales_less_costs(village: Village, plot_id: int) -> None:
    """12 kg for 30,000 and 8 kg for 16,000 are 46,000; less 15,000 for manure 31,000 are left.

    15,000 over 20 kg: costs are covered from 750 a kilo on.
    """
    money = reckon(
        village, plot_id, [sale(12_000, 30_000), sale(8_000, 16_000)], [cost(CostKind.MANURE, 15_000)]
    )

    assert money.margin is not None
    assert (20_000, 46_000, 31_000) == (
        money.earned.grams,
        money.margin.income,
        money.margin.work_unpaid.gross_margin,
    )
    assert 750 == money.margin.work_unpaid.break_even.price_per_kg


def test_plants_are_spread_over_the_years_of_a_stand(village: Village, plot_id: int) -> None:
    """Plants for 90,000 two years ago cost 30,000 this year; manure of then was that year's."""
    costs = [
        cost(CostKind.SEEDLINGS, 90_000, date(2024, 11, 25)),
        cost(CostKind.MANURE, 15_000, date(2024, 11, 25)),
    ]
    money = reckon(village, plot_id, costs=costs)

    assert money.margin is not None
    assert (30_000, ("seedlings",)) == (money.margin.work_unpaid.costs, money.margin.spread)
    assert money.margin.work_unpaid.break_even.price_per_kg is None


def test_an_earlier_year_and_another_currency_are_left_out(village: Village, plot_id: int) -> None:
    """What is not counted for its currency is said."""
    sales = [sale(1_000, 2_000, date(2025, 11, 30)), sale(1_000, 3, currency="USD")]
    money = reckon(village, plot_id, sales)

    assert (None, 0, 1) == (money.margin, money.earned.grams, money.others)
