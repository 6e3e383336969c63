"""A call for help on a phone's screen, with and without the script: who to call, an answer, and what came of it."""

import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from sqlalchemy import delete

from service.db.tables import outbox, speech
from tests.browser.conftest import Site
from tests.stand_in_house import Planter

pytestmark = pytest.mark.browser

CRY = "mtoto ameumia mguu, msaada tafadhali haraka"


@pytest.fixture
def code(site: Site) -> Iterator[str]:
    """A call for help that waits; it is gone afterwards, with what was done about it."""
    plant = Planter(site.house)
    with site.house.database.look() as work:
        asha = work.questions.find(None, "K7Q2")
    assert asha is not None
    yield plant.question(
        asha.phone_id,
        CRY,
        ago=timedelta(minutes=4),
        farmer_id=asha.farmer_id,
        urgency="emergency",
        code="CRY1",
    )
    with site.house.database.engine.begin() as connection:
        connection.execute(delete(speech.answer))
        connection.execute(delete(speech.question).where(speech.question.c.code == "CRY1"))
        connection.execute(delete(outbox.message).where(outbox.message.c.kind == "urgent_answer"))


def fits(visit: Any, width: int) -> bool:  # noqa: ANN401 - a window
    """Tell whether the page needs no scrolling sideways."""
    return bool(visit.page.evaluate("document.documentElement.scrollWidth") <= width)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_an_answer_is_counted_while_it_is_typed_and_sent(
    width: int, scheme: str, code: str, visitor: Callable[..., Any], screens: Path
) -> None:
    """From Today, without leaving it, the officer sees what the farmer will read; sent, the page says so."""
    visit = visitor(width, scheme)
    visit.open("/")
    entry = visit.page.locator("li.alarm").first
    expect(entry).to_contain_text(CRY)
    entry.get_by_text("Answer or close it").click()
    entry.get_by_label("Answer by text").fill("Nakuja sasa. Mpeleke zahanati.")
    expect(entry.get_by_text(re.compile("1 part, .* used"))).to_be_visible()
    visit.page.screenshot(path=screens / f"today-answer-{width}-{scheme}.png", full_page=True)
    on_today = fits(visit, width)
    entry.get_by_role("button", name="Send the answer").click()
    expect(visit.page.get_by_role("status")).to_contain_text("It is answered and waits for nobody")
    visit.page.screenshot(path=screens / f"question-answered-{width}-{scheme}.png", full_page=True)

    assert on_today
    assert fits(visit, width)
    assert [] == visit.complaints


def test_calling_and_closing_without_a_script(code: str, visitor: Callable[..., Any], screens: Path) -> None:
    """The number is a link to call; the call is noted, and opened again it is back."""
    visit = visitor(320, script=False)
    visit.open(f"/questions/{code}")
    visit.page.get_by_role("button", name="Show the number to call").click()
    expect(visit.page.get_by_role("link", name="Call +255")).to_have_attribute(
        "href", re.compile(r"^tel:\+255\d{9}$")
    )
    visit.page.screenshot(path=screens / "question-number-320.png", full_page=True)
    called = fits(visit, 320)
    visit.page.get_by_label("Or close it without a text").fill("Yuko salama zahanati.")
    visit.page.get_by_role("button", name="I called").click()
    expect(visit.page.get_by_text("Yuko salama zahanati.")).to_be_visible()
    closed = fits(visit, 320)
    visit.page.get_by_role("button", name="Open again").click()
    expect(visit.page.get_by_role("status")).to_contain_text("It waits for a person")

    assert called
    assert closed
    assert [] == visit.complaints
