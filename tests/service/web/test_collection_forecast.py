"""The forecast on a collection's page, held against that of the district whose plots are the group's."""

from datetime import date, timedelta
from typing import Final

import pytest
from sqlalchemy import delete, update

from service.agronomy.forecast import Range
from service.db.tables.collections import delivery
from service.db.tables.plots import harvest
from service.use_cases.collecting.expecting import expect
from service.use_cases.collecting.following import follow
from service.use_cases.forecasting import look_ahead, reckons
from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.village import ZONE
from tests.web_desk import Desk

# Wednesday 25 November 2026; fruit is collected on Wednesdays and Saturdays.
SATURDAY: Final = date(2026, 11, 28)


@pytest.fixture
def farmer(planter: Planter, house: StandInHouse) -> int:
    """Asha in Ndaliro, who told 12 and 9 kg a week by turns for ten weeks, and brings to the group's collection."""
    made, phone = planter.farmer("Asha Mwarobi")
    plot = planter.plot(made)
    for week in range(1, 11):
        planter.weight(plot, phone, ago=7 * week, grams=12_000 if week % 2 else 9_000)
    return made


@pytest.fixture
def collection(desk: Desk, planter: Planter, house: StandInHouse, farmer: int) -> int:
    """The collection that her plot follows."""
    _, made, _ = planter.collection(farmer, "Riverside")
    with house.database.work() as work:
        follow(work, ZONE, TODAY)
        work.commit()
    return made


def forecast(house: StandInHouse, collection: int, day: date) -> Range | None:
    """Return what should come on a day."""
    with house.database.look() as work:
        found = work.collections.get(collection)
        assert found is not None
        return expect(work, work.fields, house.tools, found, day=day, today=TODAY)


def test_a_day_has_its_part_of_the_districts_week(
    house: StandInHouse, planter: Planter, collection: int
) -> None:
    """Of the week from Wednesday on the fruit of three days comes on Saturday; the range is wider than a part of it."""
    with house.database.look() as work:
        by = reckons(house.tools.calendar)
        whole = look_ahead(by, work.fields, planter.districts["Ndaliro"], TODAY, trials=2).forecast
    assert whole is not None
    week = whole.weeks[0]
    here = forecast(house, collection, SATURDAY)

    assert here is not None
    assert week.expected * 3 / 7 == pytest.approx(here.expected)
    assert (week.high - week.expected) * (3 / 7) ** 0.5 == pytest.approx(here.high - here.expected)


def test_it_stands_beside_what_was_announced(desk: Desk, farmer: int, collection: int) -> None:
    """A range in kilos; of a day that lies too far ahead nothing is said."""
    page = desk.text(f"/collections/{collection}/{SATURDAY}")
    far = desk.text(f"/collections/{collection}/{SATURDAY + timedelta(days=14)}")

    assert "<dt>Forecast, about" in page
    assert "not known yet" not in page
    assert "not known yet" in far


def test_where_no_weight_was_told_what_was_brought_counts(
    house: StandInHouse, planter: Planter, collection: int, farmer: int
) -> None:
    """Whoever only brings fruit is forecast by it: twice as much a week ago, and more is expected."""
    before = forecast(house, collection, SATURDAY)
    with house.database.work() as work:
        brought = work.deliveries.of(collection, TODAY - timedelta(days=7), farmer)
    with house.database.engine.begin() as connection:
        connection.execute(delete(harvest).where(harvest.c.picked_on == TODAY - timedelta(days=7)))
        connection.execute(update(delivery).values(accepted_g=24_000))
    after = forecast(house, collection, SATURDAY)

    assert brought is not None
    assert before is not None
    assert after is not None
    assert after.expected > before.expected
