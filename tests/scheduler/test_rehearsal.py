"""The demo's district: made by the service itself, whole or not at all."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from scheduler.demo_command import play
from service.bootstrap import House, build
from service.core.errors import Refused
from service.demo import DAYS_BACK, Play, demo_settings, is_demo, make_demo
from service.demo_data import FARMERS, MONEY
from service.gateways.simulator_journal import Journal

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo's folder, made from nothing."""
    made = tmp_path_factory.mktemp("rehearsal") / "demo"
    make_demo(made, play)
    return made


@pytest.fixture(scope="module")
def house(folder: Path) -> Iterator[House]:
    """The service on that folder."""
    house = build(demo_settings(folder, web_port=8000))
    yield house
    house.close()


def _rows(house: House, statement: str) -> list[tuple[object, ...]]:
    with house.database.engine.connect() as connection:
        return [tuple(row) for row in connection.execute(text(statement))]


def test_every_farmer_has_joined_and_said_yes(house: House) -> None:
    """All are active, each with what was asked and the yes on record, from a text that came in."""
    farmers = _rows(house, "SELECT name, state, language FROM farmer ORDER BY name")
    assert sorted((one.name, "active", one.language) for one in FARMERS) == farmers
    answers = _rows(
        house,
        "SELECT farmer.name, consent.answer FROM consent JOIN farmer ON farmer.id = consent.farmer_id"
        " JOIN inbound ON inbound.id = consent.inbound_id ORDER BY 1, 2",
    )
    assert sorted((one.name, answer) for one in FARMERS for answer in ("asked", "yes")) == answers


def test_prices_of_three_districts_are_known(house: House) -> None:
    """Of the fourth nothing is, so that both answers to PRICE can be seen."""
    known = _rows(
        house,
        "SELECT DISTINCT district.name FROM price JOIN district ON district.id = district_id ORDER BY 1",
    )

    assert [("Ketumali",), ("Ndaliro",), ("Zaruvi",)] == known


def test_a_collection_ran_from_the_question_to_the_paid_list(house: House) -> None:
    """Twice asked, announced, weighed and told; of the last day one farmer's money is still owed."""
    asked = _rows(house, "SELECT count(DISTINCT queued_on) FROM message WHERE text_id LIKE 'collection_ask%'")
    announced = _rows(house, "SELECT count(*) FROM estimate")
    came = _rows(house, "SELECT payment_id IS NOT NULL, count(*) FROM delivery GROUP BY 1 ORDER BY 1")
    told = _rows(house, "SELECT count(*) FROM message WHERE kind = 'delivery'")

    assert ([(2,)], [(4,)], [(0, 1), (1, 3)], [(4,)]) == (asked, announced, came, told)


def test_sales_and_costs_are_kept_as_texted(house: House) -> None:
    """Each text of money is a row: none was in question."""
    kept = _rows(house, "SELECT (SELECT count(*) FROM sale) + (SELECT count(*) FROM cost)")

    assert [(len(MONEY),)] == kept


def test_those_who_pick_have_weights_that_count(house: House) -> None:
    """Whoever's plants are old enough has texted weights, and none was doubted or lost to an unanswered question."""
    weighed = _rows(
        house,
        "SELECT DISTINCT farmer.name FROM harvest JOIN plot ON plot.id = plot_id"
        " JOIN farmer ON farmer.id = plot.farmer_id ORDER BY 1",
    )
    assert {"Asha", "Juma", "Rehema", "Salim", "Hamisi", "Mwajuma"} == {name for (name,) in weighed}
    assert [("counted",)] == _rows(house, "SELECT DISTINCT state FROM harvest")
    said = _rows(house, "SELECT count(*) FROM inbound WHERE text LIKE 'HARVEST %' OR text LIKE 'VUNA %'")
    assert said == _rows(house, "SELECT count(*) FROM harvest")


def test_the_past_kept_the_promises(house: House) -> None:
    """Every text but a collection's question with jobs arrived in one part; nobody got more than three in seven days."""
    assert [("delivered", 1)] == _rows(
        house, "SELECT DISTINCT state, parts FROM message WHERE text_id <> 'collection_ask_jobs'"
    )
    pushed: defaultdict[object, list[date]] = defaultdict(list)
    for phone, day in _rows(house, "SELECT phone_id, queued_on FROM message WHERE kind = 'reminder'"):
        pushed[phone].append(date.fromisoformat(str(day)))
    assert pushed
    for days in pushed.values():
        assert max(sum(day <= other < day + timedelta(days=7) for other in days) for day in days) <= 3


def test_the_phones_know_what_the_pages_show(house: House, folder: Path) -> None:
    """The network's journal holds the very texts that the database calls delivered."""
    journal = Journal(folder / "simulator.jsonl")
    heard = sorted(taken.text for taken in journal.past())
    journal.close()

    assert heard == sorted(str(words) for (words,) in _rows(house, "SELECT text FROM message"))


def test_the_worker_is_to_step_to_the_present(house: House) -> None:
    """The clock stands ten days back, with the wish to make them up."""
    behind = house.real_clock.now() - house.service_clock.now()

    assert timedelta(days=DAYS_BACK) == timedelta(hours=round(behind / timedelta(hours=1)))
    assert [(str(24 * DAYS_BACK),)] == _rows(house, "SELECT value FROM setting WHERE name = 'clock_wish'")


def _breaks_off(*_: object) -> None:
    raise Refused("the machine went down")


@pytest.mark.parametrize("there", [True, False], ids=["empty-folder", "no-folder"])
def test_a_demo_that_broke_off_is_made_anew(tmp_path: Path, there: bool) -> None:  # noqa: FBT001 - a case
    """What was half made is no demo and in nobody's way."""
    folder = tmp_path / "demo"
    if there:
        folder.mkdir()
    broken: Play = _breaks_off
    with pytest.raises(Refused, match="went down"):
        make_demo(folder, broken)
    assert not is_demo(folder)

    make_demo(folder, lambda *_: None)

    assert is_demo(folder)
    assert ["demo"] == [one.name for one in tmp_path.iterdir()]
