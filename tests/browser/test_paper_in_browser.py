"""What is made for paper, printed by a real browser: one sheet, nothing cut off, readable in black and white."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Table

from service.db.tables import people, plots
from tests.browser.conftest import Site, Visit
from tests.stand_in_house import Planter

pytestmark = pytest.mark.browser

# ISO 216: A4 is 210 by 297 mm; a point of PDF is 1/72 inch. Browsers round to a third of a point or so.
A4 = (595.3, 841.9)
# ISO/IEC 7810: ID-1 is 85.60 by 53.98 mm; here in pixels, 96 an inch.
ID_1 = (85.60 / 25.4 * 96, 53.98 / 25.4 * 96)
# 190 mm, which the margins leave, at 96 pixels an inch.
PAPER_WIDTH = 718
# As many signs as the setting takes.
LONGEST_NUMBER = "+255999999999"
LONG_NAME = "Mwanaidi Zawadi binti Rashidi wa Kijiji cha Mlimani Kusini"

# Words that stick out of the box they stand in, or that lie outside the paper.
CUT_OFF = """(width) => {
  const wrong = [];
  const walker = document.createTreeWalker(document.querySelector("article"), NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const holder = node.parentElement;
    if (!node.data.trim() || holder.closest("i, svg") || getComputedStyle(holder).display === "none") continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const words = range.getBoundingClientRect();
    const box = holder.closest("td, th, dd, dt, p, h1, h2").getBoundingClientRect();
    const out = words.left < box.left - 1 || words.right > box.right + 1
      || words.top < box.top - 2 || words.bottom > box.bottom + 2;
    if (out || words.left < -1 || words.right > width + 1) wrong.push(node.data.trim());
  }
  return wrong;
}"""


Planted = Callable[[str, int, str], tuple[Visit, str]]


@pytest.fixture
def plot(visitor: Callable[..., Visit], site: Site) -> Iterator[Planted]:
    """Plant a plot for a new farmer; return a window and where the plot's sheet is."""
    house, planter = site.house, Planter(site.house)
    rows: list[tuple[Table, int]] = []

    def made(language: str, age: int, name: str) -> tuple[Visit, str]:
        farmer = house.put(
            people.farmer,
            name=name,
            language=language,
            district_id=site.ids["ndaliro"],
            state="active",
            added_at=house.service_clock.now(),
        )
        planted = planter.plot(farmer, age=age)
        rows.extend([(plots.plot, planted), (people.farmer, farmer)])
        return visitor(PAPER_WIDTH), f"/plots/{planted}/calendar"

    yield made
    for table, row in rows:
        house.remove(table, row)


def printed(visit: Visit, path: str, file: Path) -> tuple[int, list[tuple[float, ...]]]:
    """Print a page as a browser does; return how many sheets it takes and their sizes in points."""
    visit.open(path)
    body = visit.page.pdf(path=file, prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox \[([^\]]*)\]", body)
    sizes = [tuple(float(side) for side in box.split()[2:]) for box in boxes]
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", body)), sizes


def cut_off(visit: Visit) -> Any:  # noqa: ANN401 - what a page returns
    """Return the words that would be cut off on paper, with an emergency number as long as one may be."""
    visit.page.emulate_media(media="print")
    visit.page.locator(".number").evaluate_all(
        "(all, number) => all.forEach(one => { one.textContent = number; })", LONGEST_NUMBER
    )
    return visit.page.evaluate(CUT_OFF, PAPER_WIDTH)


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize(
    ("age", "name"),
    [(40, "Asha Mwarobi"), (1095, "Asha Mwarobi"), (212, LONG_NAME)],
    ids=["young", "36-months", "long-name"],
)
def test_wall_calendar_is_one_sheet_of_a4(
    language: str, age: int, name: str, plot: Planted, screens: Path
) -> None:
    """Three years of a plot take exactly one sheet, and every word on it is whole."""
    visit, path = plot(language, age, name)
    count, sizes = printed(visit, path, screens / f"wall-{language}-{age}.pdf")

    assert 1 == count
    assert [pytest.approx(A4, abs=1)] == sizes
    assert [] == cut_off(visit)
    assert [] == visit.complaints


def test_a_year_is_one_sheet_of_a4(site: Site, visitor: Callable[..., Visit], screens: Path) -> None:
    """With costs of every kind, and room for a stamp, it takes one sheet on which every word is whole."""
    visit = visitor(PAPER_WIDTH)
    count, sizes = printed(visit, f"/farmers/{site.ids['asha']}/year", screens / "year.pdf")

    assert 1 == count
    assert [pytest.approx(A4, abs=1)] == sizes
    assert [] == cut_off(visit)
    assert [] == visit.complaints


@pytest.mark.parametrize("language", ["en", "sw"])
def test_blank_calendar_is_one_sheet_of_a4(
    language: str, visitor: Callable[..., Visit], screens: Path
) -> None:
    """So does the sheet whose planting day is written by hand."""
    visit = visitor(PAPER_WIDTH)
    count, sizes = printed(visit, f"/calendar?language={language}", screens / f"blank-{language}.pdf")

    assert 1 == count
    assert [pytest.approx(A4, abs=1)] == sizes
    assert [] == cut_off(visit)


def test_nothing_depends_on_colour(plot: Planted) -> None:
    """On paper lines are black, stages are parted by a black line and named; nothing has to be told by its tint."""
    visit, path = plot("en", 212, "Asha Mwarobi")
    visit.open(path)
    visit.page.emulate_media(media="print")
    page = visit.page
    line = page.locator(".job .line").first.evaluate("line => getComputedStyle(line).fill")
    edges = page.locator(".spine .edge").evaluate_all("all => all.map(one => getComputedStyle(one).stroke)")

    assert "rgb(0, 0, 0)" == line
    assert {"rgb(0, 0, 0)"} == set(edges)
    assert ["Flowers off", "Pick, weigh", "Renew"] == page.locator(".names text").all_text_contents()


def test_cards_have_the_size_of_a_bank_card(visitor: Callable[..., Visit], screens: Path) -> None:
    """Four cards fill one sheet; folded each is as large as a bank card, with nothing outside of its two sides."""
    visit = visitor(PAPER_WIDTH)
    count, sizes = printed(visit, "/card", screens / "card.pdf")
    lost = cut_off(visit)
    sides = visit.page.locator(".side").evaluate_all(
        "all => all.map(one => [one.offsetWidth, one.offsetHeight, one.scrollWidth, one.scrollHeight])"
    )

    assert 1 == count
    assert [pytest.approx(A4, abs=1)] == sizes
    assert [] == lost
    assert 8 == len(sides)
    for width, height, inner_width, inner_height in sides:
        assert pytest.approx(ID_1, abs=1) == (width, height)
        assert inner_width <= width
        assert inner_height <= height
    assert ["en", "sw"] == visit.page.locator(".side").evaluate_all(
        "all => all.slice(0, 2).map(one => one.lang)"
    )
    assert [] == visit.complaints
