"""A forecast brought by hand in a real browser, from the file to the draft of a warning, on the narrowest screen."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.stand_in_house import Planter

pytestmark = pytest.mark.browser


def fits(page: Page) -> bool:
    """Return whether a page of 320 px needs no scrolling sideways."""
    return bool(page.evaluate("document.documentElement.scrollWidth") <= 320)


@pytest.mark.parametrize(("scheme", "district"), [("light", "Ketumali"), ("dark", "Shumbeka")])
def test_a_forecast_becomes_a_draft(
    scheme: str, district: str, visitor: Callable[..., Any], screens: Path, tmp_path: Path
) -> None:
    """Without a script: a faulty file is told, the right one seen, kept, found dangerous, drafted and taken back."""
    visit = visitor(320, scheme, script=False)
    page, house = visit.page, visit.site.house
    faulty, right = tmp_path / "faulty.csv", tmp_path / "night.csv"
    faulty.write_text("day,tmin_c\n2026-11-26,cold\n", encoding="utf-8")
    right.write_text("day;tmin_c;tmax_c;rain_mm\n2026-11-26;-0,4;19;0\n", encoding="utf-8")
    here = f"/weather?district={Planter(house).districts[district]}"

    def bring(file: Path) -> None:
        visit.open(here)
        page.get_by_label("CSV file").set_input_files(file)
        page.get_by_label("a forecast").check()
        page.get_by_role("button", name="Show what it changes").click()

    bring(faulty)
    expect(page.get_by_text("Line 2: tmin_c is 'cold', which is no number")).to_be_visible()
    page.screenshot(path=screens / f"weather-faults-320-{scheme}.png", full_page=True)
    assert fits(page)
    bring(right)
    expect(page.get_by_text("lowest -0.4 °C, highest 19 °C, rain 0 mm")).to_be_visible()
    page.screenshot(path=screens / f"weather-preview-320-{scheme}.png", full_page=True)
    assert fits(page)
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text("night.csv")).to_be_visible()
    assert fits(page)
    visit.open("/")
    mine = page.get_by_role("listitem").filter(has_text=district).filter(has_text="cold night")
    expect(mine).to_contain_text("Forecast of 25 Nov")
    page.screenshot(path=screens / f"today-danger-320-{scheme}.png", full_page=True)
    assert fits(page)
    mine.get_by_role("button", name="Make a draft").click()

    # Whom it reaches depends on what else was sent from this house today.
    expect(page.get_by_text(re.compile("^A draft"))).to_be_visible()
    expect(page.get_by_text("Forecast of 25 Nov")).to_be_visible()
    page.screenshot(path=screens / f"danger-draft-320-{scheme}.png", full_page=True)
    assert fits(page)
    visit.open(here)
    page.get_by_role("button", name="Take it back").first.click()
    expect(page.get_by_text("taken back").first).to_be_visible()
    # The page of a faulty file is answered with 400, which the browser tells too.
    assert [
        "Failed to load resource: the server responded with a status of 400 (BAD REQUEST)"
    ] == visit.complaints
