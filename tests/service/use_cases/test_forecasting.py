"""A district's two weeks to come, from what stands in the database, on both engines."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.use_cases.forecasting import Histories, Outlook, look_ahead, read_plots, reckons
from tests.stand_in_house import TODAY, Planter, StandInHouse, empty_database, make_house


@pytest.fixture
def house(database_url: str, tmp_path: Path) -> Iterator[StandInHouse]:
    """An empty programme."""
    empty_database(database_url)
    made = make_house(database_url, tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def planter(house: StandInHouse) -> Planter:
    """Fills it."""
    return Planter(house)


def look(house: StandInHouse, planter: Planter, district: str) -> Outlook:
    """Look ahead from today."""
    with house.database.look() as work:
        return look_ahead(reckons(house.calendar), work.fields, planter.districts[district], TODAY, trials=8)


def grower(
    planter: Planter, name: str, district: str, *, weeks: int, age: int = 500, grams: int = 2000
) -> None:
    """Add a farmer who has told a weight twice a week for so many weeks."""
    farmer, phone = planter.farmer(name, district=district)
    plot = planter.plot(farmer, age=age)
    for week in range(weeks):
        for ago in (7 * week + 2, 7 * week + 6):
            planter.weight(plot, phone, ago=ago, grams=grams)


def test_a_district_is_forecast_from_its_own_plots(house: StandInHouse, planter: Planter) -> None:
    """Three plots told 4 kg a week each and are expected to go on; neighbours and what was picked today are not in."""
    for name in ("Asha", "Juma", "Neema"):
        grower(planter, name, "Ndaliro", weeks=18)
    grower(planter, "Wendo", "Zaruvi", weeks=18, grams=50_000)
    asha = planter.plot(planter.farmer("Tatu", district="Ndaliro")[0], age=40)
    planter.weight(asha, planter.phone(), ago=0, grams=50_000)
    found = look(house, planter, "Ndaliro")

    assert found.forecast is not None
    assert found.backtest is not None
    assert [12_000] * 8 == [week.told for week in found.forecast.past]
    assert pytest.approx(24_000, rel=0.02) == found.forecast.all.expected
    assert 16 == len(found.backtest.weeks) == found.backtest.inside
    # The youngest plot bears later than in two weeks.
    assert Histories(many=3, few=0, none=0) == found.histories


def test_a_large_district_is_tried_on_fewer_weeks(house: StandInHouse, planter: Planter) -> None:
    """Where somebody waits: with three plots ten forecasts of plots are three trials, and two are the least."""
    for name in ("Asha", "Juma", "Neema"):
        grower(planter, name, "Ndaliro", weeks=18)
    with house.database.look() as work:
        tried = [
            look_ahead(
                reckons(house.calendar), work.fields, planter.districts["Ndaliro"], TODAY, trials=8, most=most
            ).backtest
            for most in (100, 10, 1)
        ]

    assert [16, 6, 4] == [len(found.weeks) for found in tried if found]


def test_how_much_is_known_of_how_many_plots(house: StandInHouse, planter: Planter) -> None:
    """Plots that may bear are counted by how many of the eight weeks they told; those too young or too old are not."""
    grower(planter, "Asha", "Ndaliro", weeks=8)
    grower(planter, "Juma", "Ndaliro", weeks=4)
    grower(planter, "Neema", "Ndaliro", weeks=3)
    grower(planter, "Tatu", "Ndaliro", weeks=0)
    grower(planter, "Pendo", "Ndaliro", weeks=0, age=100)
    grower(planter, "Salim", "Ndaliro", weeks=0, age=1100)

    assert Histories(many=2, few=1, none=1) == look(house, planter, "Ndaliro").histories
    assert 4 == look(house, planter, "Ndaliro").histories.plots


def test_a_district_that_told_nothing_yet_has_no_forecast(house: StandInHouse, planter: Planter) -> None:
    """It says so instead of guessing."""
    grower(planter, "Tatu", "Ndaliro", weeks=0)

    assert Outlook(forecast=None, backtest=None, histories=Histories(many=0, few=0, none=1)) == look(
        house, planter, "Ndaliro"
    )


def test_weights_told_sooner_than_expected_are_read(house: StandInHouse, planter: Planter) -> None:
    """A plot of a hundred days has told weights: they belong to it, whatever its age says."""
    grower(planter, "Tatu", "Ndaliro", weeks=2, age=100)
    with house.database.look() as work:
        (plot,) = read_plots(
            work.fields, house.calendar, planter.districts["Ndaliro"], TODAY - timedelta(days=60), TODAY
        )

    assert [2, 6, 9, 13] == sorted((TODAY - pick.on).days for pick in plot.picks)
    assert TODAY + timedelta(days=45) == plot.first_fruit_on
