"""Farmers of whom nothing was heard, although texts reach them: on Today, folded, and on a page of their own."""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.core.rights import Role
from service.db.queries.console_values import SilentLine
from tests.stand_in_house import NOW, Planter, StandInHouse, empty_database, make_house
from tests.web_desk import Desk


@pytest.fixture
def both(database_url: str, tmp_path: Path) -> Iterator[StandInHouse]:
    """An empty demo on each engine."""
    empty_database(database_url)
    made = make_house(database_url, tmp_path)
    yield made
    made.database.close()


def silent(house: StandInHouse) -> tuple[SilentLine, ...]:
    """Return all who are silent."""
    with house.database.look() as work:
        return work.console.within(None).silent(NOW, 100)


def farmer(
    planter: Planter,
    name: str,
    *,
    heard: tuple[int, ...] = (),
    state: str = "active",
    reached: str = "delivered",
    district: str = "Ndaliro",
    days: int = 3,
) -> int:
    """Add a farmer who texted so many days ago, and was texted a few days ago."""
    farmer_id, phone = planter.farmer(name, state=state, district=district)
    for ago in heard:
        planter.text_in(phone, "vuna 5", ago=timedelta(days=ago))
    planter.text_out(phone, "wiki hii", ago=timedelta(days=days), farmer_id=farmer_id, state=reached)
    return farmer_id


def test_silent_is_who_is_reached_and_says_nothing(both: StandInHouse) -> None:
    """The longest silent first; no list holds who has texted, has stopped, or is not reached at all."""
    planter = Planter(both)
    asha = farmer(planter, "Asha", heard=(90, 29))
    farmer(planter, "Juma", heard=(200, 27))
    farmer(planter, "Never")
    farmer(planter, "Salim", heard=(60,), reached="undeliverable")
    farmer(planter, "Pendo", heard=(60,), days=31)
    farmer(planter, "Rehema", heard=(60,), state="stopped")
    second = planter.phone()
    planter.text_in(second, "kazi", ago=timedelta(days=2))
    two_phones = farmer(planter, "Tatu", heard=(60,))
    with both.database.work() as work:
        work.people.link_phone(two_phones, second, role="own", preferred=False, now=NOW - timedelta(days=100))
        work.commit()

    assert [("Never", True), ("Asha", False)] == [(one.name, one.never) for one in silent(both)]
    assert (asha, NOW - timedelta(days=29), "Ndaliro") == (
        silent(both)[1].id,
        silent(both)[1].heard_at,
        silent(both)[1].district,
    )


def test_who_is_new_is_not_silent(both: StandInHouse) -> None:
    """Somebody added three weeks ago has had no four weeks to answer in."""
    planter = Planter(both)
    farmer_id = farmer(planter, "Asha")
    with both.database.work() as work:
        work.people.set_farmer(farmer_id, added_at=NOW - timedelta(days=21))
        work.commit()

    assert () == silent(both)


def test_today_folds_ten_and_leads_to_all(desk: Desk, planter: Planter) -> None:
    """They are in no count of what needs a person now; the page has them all."""
    for number in range(12):
        farmer(planter, f"Farmer {number:02d}", heard=(40 + number,))
    today, everyone = desk.text("/"), desk.text("/farmers/silent")
    folded = re.search(r"<details>\s*<summary>Not heard from for long: more than 10 farmers</summary>(.*?)</details>", today, re.DOTALL)  # fmt: skip  # noqa: E501

    assert "Nothing waits for an answer now. More than 10 farmers have not been heard from for long" in today
    assert "runs by itself" not in today
    assert folded is not None
    assert [f"Farmer {number:02d}" for number in range(11, 1, -1)] == re.findall(
        r">(Farmer \d\d)<", folded[1]
    )
    assert 'href="/farmers/silent"' in folded[1]
    assert 12 == len(re.findall(r">Farmer \d\d<", everyone))
    assert "last texted 51 days ago, 5 October 2026" in everyone


def test_the_page_is_turned(desk: Desk, planter: Planter) -> None:
    """A page holds a hundred; beyond the last one it says that there are no more."""
    phone = planter.phone()
    for number in range(101):
        planter.farmer(f"Farmer {number:03d}", phone=phone)
    planter.text_out(phone, "wiki hii", ago=timedelta(days=3))
    pages = [desk.text(f"/farmers/silent?page={page}") for page in (1, 2, 3)]

    assert [100, 1, 0] == [len(re.findall(r">Farmer \d{3}<", page)) for page in pages]
    assert "There are no more" in pages[2]
    assert [True, False, False] == ['rel="next"' in page for page in pages]


def test_an_officer_sees_their_own_only(desk: Desk, planter: Planter) -> None:
    """Silent farmers of another district are not there."""
    farmer(planter, "Asha of Here", heard=(50,))
    farmer(planter, "Wendo of Elsewhere", heard=(50,), district="Zaruvi")
    officer = Desk(house=desk.house, app=desk.app)
    officer.sign_in("Juma", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))

    for path in ("/", "/farmers/silent"):
        page = officer.text(path)
        assert (True, False) == ("Asha of Here" in page, "Wendo" in page)
    assert "Everybody whom texts reach has texted" not in desk.text("/farmers/silent")


def test_the_number_to_call_is_shown_and_kept(desk: Desk, planter: Planter) -> None:
    """From the list and from the farmer's page, which says since when; the record has it, the address has not."""
    asha = farmer(planter, "Asha", heard=(40,))
    page, everyone = desk.text(f"/farmers/{asha}"), desk.text("/farmers/silent")
    shown = desk.send(f"/farmers/{asha}/number/show", **{"from": "silent"})
    with desk.house.database.look() as work:
        last = list(work.audit.rows())[-1]

    assert "Not heard from since 16 October 2026" in page
    assert f'action="/farmers/{asha}/number/show"' in page
    assert f'action="/farmers/{asha}/number/show"' in everyone
    assert 'href="tel:+2556212345' in shown.text
    assert 'href="/farmers/silent">Not heard from' in shown.text
    assert ("number.shown", f"farmer:{asha}") == (last.action, last.subject)


def test_where_no_number_is_kept_the_page_says_so(desk: Desk, planter: Planter) -> None:
    """The number has another owner now: there is nobody to call, and nothing was shown that had to be noted."""
    asha, phone = planter.farmer("Asha")
    with desk.house.database.work() as work:
        work.people.unlink(phone, NOW)
        work.commit()
    shown = desk.send(f"/farmers/{asha}/number/show")
    with desk.house.database.look() as work:
        deeds = [row.action for row in work.audit.rows()]

    assert "No number of theirs is kept: ask in the village." in shown.text
    assert "tel:" not in shown.text
    assert "number.shown" not in deeds


def test_who_is_heard_from_is_not_called_silent(desk: Desk, planter: Planter) -> None:
    """The page of somebody who has texted lately says nothing of it."""
    asha = farmer(planter, "Asha", heard=(5,))

    assert "Not heard from since" not in desk.text(f"/farmers/{asha}")
