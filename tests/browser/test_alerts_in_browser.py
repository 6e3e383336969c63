"""An officer warns a district from a small screen: by thumb, with the script and without it."""

import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from scheduler.alerting import advance_alerts
from scheduler.sender import Sender
from service.core.model import District
from service.db.tables import people
from tests.stand_in_house import NOW, SEAL, StandInHouse

pytestmark = pytest.mark.browser

THUMB = """() => [...document.querySelectorAll("main :is(button, a.do, a.quiet, select, input, textarea)")]
  .filter((one) => one.type !== "hidden" && one.offsetParent)
  .map((one) => [one.closest("label.tick") || one].map((spot) => spot.getBoundingClientRect().height)[0])
  .filter((height) => height < 43.5)"""


def fits(page: Page, width: int) -> bool:
    """Return whether a page does not scroll sideways and everything on it can be pressed by a thumb."""
    sideways = page.evaluate("document.documentElement.scrollWidth")
    return bool(sideways <= width and page.evaluate(THUMB) == [])


def carry(house: StandInHouse) -> None:
    """Let the worker do what is due: make the messages and send them."""
    house.service_clock.advance(timedelta(minutes=3))
    advance_alerts(house.database, house.tools, house.service_clock.now())
    sender = Sender(
        house.database, house.tools, house.network, house.service_clock, window=8, per_second=1000
    )
    sender.drain()


def newcomer(house: StandInHouse, district: str) -> None:
    """Let somebody join who has been sent no alert today."""
    (district_id,) = (one.id for one in house_districts(house) if one.name == district)
    phone_id, farmer_id = house.ids.row(), house.ids.row()
    number = f"+25562{phone_id:07d}"
    house.put(
        people.phone,
        id=phone_id,
        sealed=SEAL.close(number),
        number_index=SEAL.index(number),
        last3=number[-3:],
        region="TZ",
        added_at=NOW,
    )
    house.put(
        people.farmer,
        id=farmer_id,
        name="Mwanzo",
        language="sw",
        district_id=district_id,
        state="active",
        added_at=NOW,
    )
    house.put(
        people.farmer_phone, farmer_id=farmer_id, phone_id=phone_id, role="own", preferred=True, since=NOW
    )


def house_districts(house: StandInHouse) -> tuple[District, ...]:
    """Return the districts of a house."""
    with house.database.look() as work:
        return work.people.districts()


def write_frost(page: Page, district: str) -> None:
    """Fill in a frost warning and go on to the preview."""
    page.get_by_role("link", name="Alerts").click()
    page.locator(".choices").get_by_role("link", name="Cold night").click()
    page.get_by_label(district).check()
    page.get_by_label("Lowest temperature").fill("-1")
    page.get_by_role("button", name="Next: whom it reaches").click()
    page.get_by_text("A draft.").wait_for()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_frost_alert_sent_by_thumb_at_320_px(
    scheme: str, visitor: Callable[..., Any], screens: Path
) -> None:
    """From the list to the report on the narrowest screen: nothing is cut off, nothing too small for a thumb."""
    visit = visitor(320, scheme, script=False)
    page, house = visit.page, visit.site.house
    district = "Ketumali" if scheme == "light" else "Shumbeka"
    newcomer(house, district)
    visit.open("/alerts")
    page.screenshot(path=screens / f"alerts-320-{scheme}.png", full_page=True)
    write_frost(page, district)
    page.screenshot(path=screens / f"alert-draft-320-{scheme}.png", full_page=True)

    assert fits(page, 320)

    page.get_by_role("button", name="Send now").click()
    expect(page.get_by_text("Scheduled")).to_be_visible()
    assert fits(page, 320)
    carry(house)
    page.reload()
    page.screenshot(path=screens / f"alert-sending-320-{scheme}.png", full_page=True)
    expect(page.get_by_role("row", name="Sent")).not_to_contain_text(" 0")
    page.get_by_role("button", name="Call off the rest").click()
    page.screenshot(path=screens / f"alert-report-320-{scheme}.png", full_page=True)

    expect(page.get_by_text("Called off since")).to_be_visible()
    assert fits(page, 320)
    assert [] == visit.complaints


def test_the_form_measures_while_one_types(visitor: Callable[..., Any], screens: Path) -> None:
    """What is typed is measured without a button, and the character that doubles the cost is named."""
    visit = visitor(320)
    page = visit.page
    visit.open("/alerts/new")
    page.get_by_label("Ndaliro").check()
    page.get_by_label("Text in Swahili").fill("Mkutano ni Ijumaa – saa 4 asubuhi.")

    expect(page.get_by_text("makes every part hold 70 characters")).to_be_visible(timeout=5000)
    page.get_by_label("Text in Swahili").fill("Mkutano ni Ijumaa saa 4 asubuhi.")
    expect(page.get_by_text("makes every part hold 70 characters")).to_be_hidden(timeout=5000)
    expect(page.get_by_text("1 part,")).to_be_visible()
    page.screenshot(path=screens / "alert-form-320.png", full_page=True)
    assert fits(page, 320)
    assert [] == visit.complaints


def test_the_end_of_use_moves_while_the_day_is_chosen(visitor: Callable[..., Any]) -> None:
    """With the script at once, and only until somebody has typed an hour of their own; the night is named anew."""
    visit = visitor(320)
    page = visit.page
    visit.open("/alerts/new?template=frost")
    until, on = page.get_by_label("Of no use after"), page.get_by_label("Night it warns of")
    was = until.input_value()
    on.fill("2026-11-28")
    moved = until.input_value()
    until.fill("2026-11-29T06:00")
    on.fill("2026-12-05")

    assert ["2026-11-26T07:00", "2026-11-29T07:00", "2026-11-29T06:00"] == [was, moved, until.input_value()]
    expect(page.get_by_text("night of Sat 5 to Sun 6 Dec")).to_be_visible()
    assert [] == visit.complaints


def test_a_second_warning_is_sent_anyway_by_thumb(visitor: Callable[..., Any], screens: Path) -> None:
    """After a hail warning the frost draft says who had it; without a script the reason is asked for and it leaves."""
    visit = visitor(320, script=False)
    page, house = visit.page, visit.site.house
    newcomer(house, "Ketumali")
    visit.open("/alerts/new?template=hail")
    page.get_by_label("Ketumali").check()
    page.get_by_label("Chance in %").fill("30")
    page.get_by_role("button", name="Next: whom it reaches").click()
    page.get_by_role("button", name="Send to").click()
    carry(house)
    visit.open("/alerts")
    write_frost(page, "Ketumali")
    page.screenshot(path=screens / "alert-on-top-320.png", full_page=True)

    expect(page.get_by_text("“Hail” at")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("Send (to|at|now)"))).to_have_count(0)
    assert fits(page, 320)

    page.get_by_label("Why it cannot wait").fill("The sky has cleared")
    page.get_by_role("button", name="Send anyway to").click()
    expect(page.get_by_text("because: The sky has cleared.")).to_be_visible()
    carry(house)
    page.get_by_role("link", name="Whom it reached, by name").click()
    page.screenshot(path=screens / "alert-reached-320.png", full_page=True)
    expect(page.get_by_role("link", name="Mwanzo").first).to_be_visible()
    assert fits(page, 320)
    assert [] == visit.complaints


@pytest.mark.parametrize("width", [768, 1280])
def test_the_pages_fit_wider_screens(width: int, visitor: Callable[..., Any], screens: Path) -> None:
    """List, draft and doubts on a tablet and on a desk."""
    visit = visitor(width)
    page = visit.page
    for name, path in (
        ("alerts", "/alerts"),
        ("alert-form", "/alerts/new?template=rain"),
        ("doubts", "/doubts"),
    ):
        visit.open(path)
        page.screenshot(path=screens / f"{name}-{width}.png", full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    write_frost(page, "Ndaliro")
    page.screenshot(path=screens / f"alert-draft-{width}.png", full_page=True)

    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert [] == visit.complaints


def test_progress_keeps_itself_fresh(visitor: Callable[..., Any]) -> None:
    """What has left is counted on the page without a reload."""
    visit = visitor()
    page = visit.page
    newcomer(visit.site.house, "Zaruvi")
    visit.open("/alerts")
    write_frost(page, "Zaruvi")
    page.get_by_role("button", name="Send now").click()
    expect(page.get_by_text("Scheduled")).to_be_visible()
    carry(visit.site.house)

    expect(page.get_by_text("Being sent")).to_be_visible(timeout=5000)
    assert [] == visit.complaints
