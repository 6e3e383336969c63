"""Sales, costs and prices as they are kept, on both engines."""

from datetime import UTC, date, datetime, timedelta
from typing import Final

import pytest

from flows.trading import CostKind, Quoted
from service.core.model import HarvestState
from service.core.money_ports import KeptCost, KeptSale, NewPrice, Picked
from service.db.work import Database, Work
from tests.village import Village

NOW: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
TODAY: Final = date(2026, 11, 25)
YEAR_AGO: Final = TODAY - timedelta(days=364)
PHONE: Final = 7


@pytest.fixture
def store(village: Village) -> Database:
    """The village's store, with one farmer's plot."""
    village.phone().joins(days_ago=200)
    return village.database


def plot_of(store: Database) -> int:
    """Return the one plot's id."""
    with store.engine.connect() as connection:
        return int(connection.exec_driver_sql("SELECT id FROM plot").scalar_one())


def sale(id_: int, plot_id: int, on: date = TODAY, minor: int = 30_000) -> KeptSale:
    """Return a sale of 12 kg."""
    return KeptSale(
        id=id_,
        plot_id=plot_id,
        sold_on=on,
        grams=12_000,
        minor=minor,
        currency="TZS",
        buyer="mama Asha",
        at=NOW + timedelta(minutes=id_),
    )


def cost(id_: int, plot_id: int, on: date = TODAY) -> KeptCost:
    """Return a cost of manure."""
    return KeptCost(
        id=id_,
        plot_id=plot_id,
        spent_on=on,
        kind=CostKind.MANURE,
        minor=15_000,
        currency="TZS",
        at=NOW + timedelta(minutes=id_),
    )


def test_sales_and_costs_of_a_year(store: Database) -> None:
    """The newest first; what was taken back is gone, and with it what UNDO would take back."""
    plot_id = plot_of(store)
    sales = [sale(1, plot_id), sale(2, plot_id, YEAR_AGO), sale(3, plot_id, YEAR_AGO - timedelta(days=1))]
    costs = [cost(1, plot_id), cost(2, plot_id, YEAR_AGO)]
    with store.work() as work:
        for one in sales:
            work.money.add_sale(one, inbound_id=1, phone_id=PHONE)
        for other in costs:
            work.money.add_cost(other, inbound_id=1, phone_id=PHONE)
        last = work.money.last_sale(PHONE, NOW), work.money.last_cost(PHONE, NOW)
        work.money.void_sale(3, inbound_id=2)
        work.money.void_sale(1, inbound_id=2)
        work.money.void_cost(2, inbound_id=2)
        after = work.money.last_sale(PHONE, NOW), work.money.last_cost(PHONE, NOW)
        kept = work.money.sales([plot_id], YEAR_AGO, TODAY), work.money.costs([plot_id], YEAR_AGO, TODAY)

    assert (sales[2], costs[1]) == last
    assert (sales[1], costs[0]) == after
    assert ((sales[1],), (costs[0],)) == kept


def test_another_phone_and_another_day_have_nothing_to_take_back(store: Database) -> None:
    """What was told yesterday stands."""
    with store.work() as work:
        work.money.add_sale(sale(1, plot_of(store)), inbound_id=1, phone_id=PHONE)

        assert work.money.last_sale(PHONE + 1, NOW) is None
        assert work.money.last_sale(PHONE, NOW + timedelta(hours=1)) is None
        assert work.money.last_cost(PHONE, NOW) is None


def test_what_was_picked_by_day(store: Database) -> None:
    """Two weights of a day are one row; a weight in question is none."""
    plot_id = plot_of(store)
    weights = ((1, 4_000, HarvestState.COUNTED), (2, 1_500, HarvestState.COUNTED))
    with store.work() as work:
        for id_, grams, state in (*weights, (3, 90_000, HarvestState.IN_QUESTION)):
            work.harvests.add(
                id=id_,
                plot_id=plot_id,
                picked_on=TODAY,
                grams=grams,
                state=state,
                inbound_id=1,
                phone_id=PHONE,
                at=NOW,
            )
        picked = work.money.picked([plot_id], YEAR_AGO, TODAY)

    assert (Picked(plot_id=plot_id, on=TODAY, grams=5_500),) == picked


def quote(work: Work, id_: int, minor: int, on: date, *, crop_class: str = "", currency: str = "TZS") -> None:
    """Keep a price at the market of the first district."""
    district = work.people.districts()[0].id
    new = NewPrice(
        id=id_,
        district_id=district,
        market="Soko Kuu",
        crop_class=crop_class,
        minor=minor,
        currency=currency,
        quoted_on=on,
        officer_id=None,
        at=NOW,
    )
    work.prices.add(new)


def test_the_newest_price_of_a_market_and_class_holds(store: Database) -> None:
    """A newer day wins over an older one however late that came in; of one day the last that came in."""
    yesterday = TODAY - timedelta(days=1)
    with store.work() as work:
        districts = [one.id for one in work.people.districts()]
        quote(work, 1, 2_000, TODAY)
        quote(work, 2, 2_500, TODAY)
        quote(work, 3, 1_000, yesterday)
        quote(work, 4, 4_000, yesterday, crop_class="large")
        quote(work, 5, 9_000, TODAY - timedelta(days=30), crop_class="small")
        quote(work, 6, 3, TODAY, crop_class="imported", currency="USD")
        found = work.prices.newest(districts[:1], "TZS", TODAY - timedelta(days=29))
        elsewhere = work.prices.newest(districts[1:], "TZS", YEAR_AGO)

    expected = (
        Quoted(market="Soko Kuu", crop_class="", minor=2_500, on=TODAY),
        Quoted(market="Soko Kuu", crop_class="large", minor=4_000, on=yesterday),
    )
    assert (expected, ()) == (found, elsewhere)
