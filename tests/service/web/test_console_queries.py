"""The pages' queries give the same on both engines."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from service.db.queries.console_values import Cohort, Way
from service.web.app import create_app
from tests.stand_in_house import TODAY, Planter, StandInHouse, empty_database, fill, make_house
from tests.web_desk import Desk


@pytest.fixture
def house(database_url: str, tmp_path: Path) -> Iterator[StandInHouse]:
    """An empty demo on each engine."""
    empty_database(database_url)
    made = make_house(database_url, tmp_path)
    yield made
    made.database.close()


def test_every_page_opens_on_both_engines(house: StandInHouse) -> None:
    """All pages of a full programme open, and tell the same of a farmer."""
    ids = fill(house)
    desk = Desk(house=house, app=create_app(house))
    desk.sign_in()

    assert "5 things" in desk.text("/")
    assert "58 farmers" in desk.text("/farmers?name=a&page=2")
    assert "178.16 kg" in desk.text(f"/farmers/{ids['asha']}")
    assert 200 == desk.get("/clock").status_code
    assert 200 == desk.get("/practice/2").status_code
    assert 404 == desk.get(f"/farmers/{2**63 - 1}").status_code


def test_cohorts_count_live_plots_by_planting_day(house: StandInHouse) -> None:
    """Plots at rest are not counted; days come in order."""
    planter = Planter(house)
    farmer, _ = planter.farmer("Asha")
    for age in (10, 400, 10):
        planter.plot(farmer, age=age)
    planter.plot(farmer, age=50, live=False)
    with house.database.look() as work:
        cohorts = work.console.within(None).cohorts()

    expected = (Cohort(planted_on=_ago(400), plots=1), Cohort(planted_on=_ago(10), plots=2))
    assert expected == cohorts


def test_talk_of_an_instant_keeps_its_order(house: StandInHouse) -> None:
    """An answer in the same instant stands after what it answers; a reading comes back as it was kept."""
    planter = Planter(house)
    farmer, phone = planter.farmer("Asha")
    planter.text_out(phone, "Asante", ago=timedelta(0), farmer_id=farmer)
    planter.text_in(phone, "vuna 5", ago=timedelta(0), farmer_id=farmer, intent="harvest", why=["a", "b"])
    with house.database.look() as work:
        seen = work.console.within(None).farmer(farmer)
        assert seen is not None
        answer, said = seen.talk(10)

    assert (Way.OUT, Way.IN) == (answer.way, said.way)
    assert {"intent": "harvest", "why": ["a", "b"]} == said.reading


def test_stopped_phone_is_told(house: StandInHouse) -> None:
    """A phone on the stop list is shown as stopped."""
    planter = Planter(house)
    farmer, phone = planter.farmer("Asha")
    with house.database.work() as work:
        work.people.stop(phone, house.service_clock.now())
        work.commit()
    with house.database.look() as work:
        seen = work.console.within(None).farmer(farmer)
        assert seen is not None
        facts = seen.facts()

    assert [True] == [one.stopped for one in facts.phones]


def _ago(days: int) -> date:
    return TODAY - timedelta(days=days)
