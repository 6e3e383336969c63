"""The menu on a narrow screen: one row, and all else behind "More", by thumb and by keyboard, without a script."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from sqlalchemy import delete, select

from service.db.tables import outbox, people
from tests.stand_in_house import Planter

pytestmark = pytest.mark.browser

# The heights at which what can be seen of the row begins.
ROW = """() => [...document.querySelectorAll(".mast nav > a, .mast summary")]
  .filter((one) => one.offsetParent).map((one) => [one.textContent.trim(), one.getBoundingClientRect()])"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_menu_is_one_row_at_320_px(scheme: str, visitor: Callable[..., Any], screens: Path) -> None:
    """Even with something in doubt: the row holds four words on one line and nothing is cut off."""
    visit = visitor(320, scheme, script=False)
    page, plant = visit.page, Planter(visit.site.house)
    with visit.site.house.database.engine.connect() as connection:
        phone_id = connection.execute(select(people.phone.c.id).limit(1)).scalar_one()
    _, number = plant.text_out(phone_id, "Menu.", ago=timedelta(hours=1), state="in_doubt")
    try:
        visit.open("/report")
        page.screenshot(path=screens / f"menu-320-{scheme}.png")
        row = page.evaluate(ROW)
        page.locator("summary", has_text="More").click()
        page.screenshot(path=screens / f"menu-open-320-{scheme}.png")

        assert ["Today", "Farmers", "Alerts"] == [words for words, _ in row[:3]]
        assert row[3][0].startswith("More")
        assert max(box["top"] for _, box in row) - min(box["top"] for _, box in row) < 12
        assert max(box["right"] for _, box in row) <= 320
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        for name in ("Report", "In doubt", "Practice phones", "Clock"):
            expect(page.get_by_role("link", name=name)).to_be_visible()
        expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    finally:
        with visit.site.house.database.engine.begin() as connection:
            connection.execute(delete(outbox.message).where(outbox.message.c.id == number))
    assert [] == visit.complaints


def test_more_is_opened_by_keyboard(visitor: Callable[..., Any]) -> None:
    """Tab reaches "More", Enter opens it, the next Tabs go through its pages."""
    visit = visitor(320, script=False)
    page = visit.page
    visit.open("/")
    for _ in range(8):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.tagName") == "SUMMARY":
            break
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", name="Collections", exact=True)).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [768, 1280])
def test_the_menu_is_one_row_on_a_wider_screen(
    width: int, scheme: str, visitor: Callable[..., Any], screens: Path
) -> None:
    """Programme, five pages and "More" stand on one line, on the widest with the way out; nothing wraps below them."""
    visit = visitor(width, scheme, script=False)
    page = visit.page
    visit.open("/report")
    page.screenshot(path=screens / f"menu-{width}-{scheme}.png")
    row = page.evaluate(ROW)
    name = page.locator(".mast .name").bounding_box()
    page.locator("summary", has_text="More").click()
    page.screenshot(path=screens / f"menu-open-{width}-{scheme}.png")
    behind = page.locator(".more > div").bounding_box()

    assert ["Today", "Farmers", "Alerts", "Report", "Weather"] == [words for words, _ in row[:5]]
    assert row[5][0].startswith("More")
    assert 6 == len(row)
    assert max(box["top"] for _, box in row) - min(box["top"] for _, box in row) < 12
    assert abs(row[0][1]["top"] - name["y"]) < name["height"]
    assert behind["x"] + behind["width"] <= width
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for link in ("In doubt", "Practice phones", "Clock"):
        expect(page.locator(".more").get_by_role("link", name=link)).to_be_visible()
    out = page.get_by_role("button", name="Sign out")
    expect(out).to_be_visible()
    # On the widest it stands in the line itself, and "More" is no way to it.
    assert (width >= 1280) == (abs(out.bounding_box()["y"] - name["y"]) < name["height"])
    assert [] == visit.complaints
