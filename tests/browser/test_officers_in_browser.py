"""What officers do on the pages, in a real browser as narrow as a phone, without a script where none is needed."""

import re
from base64 import b32decode
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from service.core.totp import counter_at, digits_at

pytestmark = pytest.mark.browser


def _shot(visit: Any, screens: Path, name: str) -> None:  # noqa: ANN401 - a window, as visitor makes it
    visit.page.screenshot(path=screens / f"{name}.png", full_page=True)
    width = visit.page.viewport_size["width"]
    assert visit.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (320, "dark"), (768, "light"), (1280, "dark")])
def test_correcting_a_plot(width: int, scheme: str, visitor: Callable[..., Any], screens: Path) -> None:
    """The form, what would follow, and back again, without a script; nothing is kept before the second button."""
    visit = visitor(width, scheme, script=False)
    visit.open("/plots/{plot}/edit")
    visit.page.get_by_label("Planting date").fill("2026-10-27")
    visit.page.get_by_role("button", name="Show what would follow").first.click()
    expect(visit.page.get_by_role("heading", name="What would follow")).to_be_visible()
    _shot(visit, screens, f"impact-{width}-{scheme}")
    visit.page.get_by_role("link", name="Back").click()

    expect(visit.page.get_by_label("Planting date")).to_have_value("2026-04-27")
    assert [] == visit.complaints


@pytest.mark.parametrize(("width", "scheme"), [(320, "dark"), (1280, "light")])
def test_setting_up_the_way_in(width: int, scheme: str, visitor: Callable[..., Any], screens: Path) -> None:
    """A password, then a second factor from its secret to the recovery codes, as somebody new does it."""
    visit = visitor(width, scheme, script=False, anew=True)
    site = visit.site
    _, code = site.house.officer_code(f"Newcomer {width}")
    if width == 320:
        visit.page.locator("summary", has_text="More").click()
    visit.page.get_by_role("button", name="Sign out").click()
    # The visitor came with a code and has no password: the page warns first.
    visit.page.get_by_role("button", name="Sign out all the same").click()
    visit.page.get_by_text("I have a one-time code").wait_for()
    visit.page.get_by_label("Your one-time code").fill(code)
    visit.page.get_by_role("button", name="Sign in with the code").click()
    visit.open("/account/password")
    visit.page.get_by_label("New password").fill("kettle orbit mustard")
    visit.page.get_by_label("The same again").fill("kettle orbit mustard")
    visit.page.get_by_role("button", name="Keep this password").click()
    visit.open("/account/second-factor")
    visit.page.get_by_label("Your present password").fill("kettle orbit mustard")
    visit.page.get_by_role("button", name="Make a secret").click()
    secret = b32decode(visit.page.locator(".secret code").inner_text().replace(" ", ""))
    _shot(visit, screens, f"secret-{width}-{scheme}")
    visit.page.get_by_label("The six digits it shows now").fill(
        digits_at(secret, counter_at(site.house.real_clock.now()))
    )
    visit.page.get_by_role("button", name="Confirm").click()
    codes = visit.page.locator(".codes code").all_inner_texts()
    _shot(visit, screens, f"recovery-{width}-{scheme}")
    visit.page.get_by_role("link", name="I have written them down").click()
    _shot(visit, screens, f"own-account-{width}-{scheme}")

    assert 8 == len(codes)
    expect(visit.page.get_by_text("8 left")).to_be_visible()
    assert [] == visit.complaints


def test_adding_a_farmer(visitor: Callable[..., Any], screens: Path) -> None:
    """A farmer is added from a phone's width without a script, and found again by the last digits of the number."""
    visit = visitor(320, script=False)
    visit.open("/farmers")
    visit.page.get_by_role("link", name="Add a farmer").click()
    visit.page.get_by_label("Phone number").fill("0621 234 599")
    visit.page.get_by_label("Name").fill("Wendo Kisima")
    visit.page.get_by_label("Language they read").select_option(label="Swahili")
    visit.page.get_by_label("District").select_option(label="Ketumali")
    visit.page.get_by_label("Plants", exact=True).fill("600")
    visit.page.get_by_label("Planting date").fill("2026-09-01")
    visit.page.get_by_role("button", name=re.compile("ask them by text")).click()
    expect(visit.page.get_by_role("heading", name="Wendo Kisima")).to_be_visible()
    visit.open("/farmers?name=599&state=pending")
    _shot(visit, screens, "found-320-light")

    expect(visit.page.get_by_role("link", name="Wendo Kisima")).to_be_visible()
    assert [] == visit.complaints


def test_going_back_after_a_correction(visitor: Callable[..., Any]) -> None:
    """After keeping a correction "back" leads to a page, and keeping it once more is no error."""
    visit = visitor(320, script=False)
    visit.open("/plots/{plot}/edit")
    visit.page.get_by_label("Plants", exact=True).fill("470")
    visit.page.get_by_role("button", name="Show what would follow").first.click()
    visit.page.get_by_role("button", name="Keep the correction").click()
    expect(visit.page.get_by_text("Kept: 470 plants")).to_be_visible()
    visit.page.go_back()

    expect(visit.page.get_by_text("nothing would change")).to_be_visible()
    visit.open("/plots/{plot}/edit/follows?planted=2026-04-27&precision=exact&plants=450&mulch=straw")
    visit.page.get_by_role("button", name="Keep the correction").click()
    expect(visit.page.get_by_text("Kept: 450 plants")).to_be_visible()
    assert [] == visit.complaints


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_known_number_at_a_phones_width(scheme: str, visitor: Callable[..., Any], screens: Path) -> None:
    """Adding a farmer with a number in use stops at a page that fits, and leads back to what was typed."""
    visit = visitor(320, scheme, script=False)
    visit.open("/farmers/new")
    visit.page.get_by_label("Phone number").fill("0621 234 560")
    visit.page.get_by_label("Name").fill("Wendo Wa Pili")
    visit.page.get_by_label("Language they read").select_option(label="Swahili")
    visit.page.get_by_label("District").select_option(label="Ketumali")
    visit.page.get_by_label("Plants", exact=True).fill("600")
    visit.page.get_by_label("Planting date").fill("2026-09-01")
    visit.page.get_by_role("button", name=re.compile("ask them by text")).click()
    expect(visit.page.get_by_role("heading", name="This number is known already")).to_be_visible()
    expect(visit.page.get_by_role("link", name="It is Asha Mwarobi: open their page")).to_be_visible()
    _shot(visit, screens, f"known-320-{scheme}")
    visit.page.get_by_role("button", name="Change what I typed").click()

    expect(visit.page.get_by_label("Name")).to_have_value("Wendo Wa Pili")
    # That the page stops is told by the browser too, and by nothing else.
    assert [
        "Failed to load resource: the server responded with a status of 409 (CONFLICT)"
    ] == visit.complaints
