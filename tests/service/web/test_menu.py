"""The menu: what stands in it for whom, and which page it marks."""

import re
from datetime import timedelta

import pytest

from service.core.rights import Role
from tests.stand_in_house import Planter
from tests.web_desk import Desk


def menu_of(page: str) -> str:
    """Return the menu of a page."""
    return page.partition('<nav aria-label="Pages">')[2].partition("</nav>")[0]


def marked(page: str) -> set[str]:
    """Return the pages that the menu says are open."""
    return set(re.findall(r'href="([^"]+)" aria-current="page"', page.partition("<main")[0]))


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/farmers",
        "/alerts",
        "/collections",
        "/weather",
        "/prices",
        "/report",
        "/doubts",
        "/practice",
        "/clock",
        "/account",
    ],
)
def test_the_page_that_is_open_is_marked(desk: Desk, path: str) -> None:
    """One page is, be it in the row or behind "More"."""
    assert {path} == marked(desk.text(path))


def test_what_is_in_doubt_is_counted(desk: Desk, planter: Planter) -> None:
    """Nothing while nothing waits; then how many, and "More", behind which the page is, says so too."""
    quiet = menu_of(desk.text("/"))
    farmer, phone = planter.farmer("Tatu Hamisi")
    for state in ("in_doubt", "failed"):
        planter.text_out(phone, "Habari.", ago=timedelta(hours=1), farmer_id=farmer, state=state)
    loud = menu_of(desk.text("/"))

    assert "berry" not in quiet
    assert re.search(r'More <span class="berry">2</span></summary>', loud)
    assert 1 == len(re.findall(r'href="/doubts">In doubt <span class="berry">2</span></a>', loud))


def test_an_officer_sees_their_own_count_and_no_demo_pages(desk: Desk, planter: Planter) -> None:
    """Texts of another district are not theirs to look at, and the clock is the administrator's."""
    farmer, phone = planter.farmer("Tatu Hamisi", district="Zaruvi")
    planter.text_out(phone, "Habari.", ago=timedelta(hours=1), farmer_id=farmer, state="in_doubt")
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    page = menu_of(desk.text("/"))

    assert {
        "/",
        "/farmers",
        "/alerts",
        "/collections",
        "/weather",
        "/prices",
        "/report",
        "/doubts",
        "/account",
    } == set(re.findall(r'href="([^"]+)"', page))
    assert "berry" not in page


def test_a_page_that_broke_asks_the_database_nothing(desk: Desk, planter: Planter) -> None:
    """The page that tells of a fault has its menu, and no count."""
    planter.text_out(planter.phone(), "Habari.", ago=timedelta(hours=1), state="in_doubt")
    answer = desk.get("/farmers/999999999")

    assert 404 == answer.status_code
    assert 'href="/doubts">In doubt</a>' in answer.text
