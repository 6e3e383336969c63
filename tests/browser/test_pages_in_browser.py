"""Every page in a real browser, narrow and wide, light and dark, with and without its script."""

import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Dialog, expect
from sqlalchemy import delete, select

from service.db.tables import outbox, people, speech
from tests.stand_in_house import Planter, say

pytestmark = pytest.mark.browser

PAGES = {
    "sign-in": "/sign-in",
    "today": "/",
    "farmers": "/farmers",
    "person": "/farmers/{asha}",
    "add-farmer": "/farmers/new",
    "edit-farmer": "/farmers/{asha}/edit",
    "change-number": "/farmers/{asha}/number",
    "pause": "/farmers/{asha}/pause",
    "stop": "/farmers/{asha}/stop",
    "plot": "/plots/{plot}/edit",
    "sprays": "/plots/{plot}/sprays",
    "wall-calendar": "/plots/{plot}/calendar",
    "blank-calendar": "/calendar",
    "card": "/card",
    "year": "/farmers/{asha}/year",
    "prices": "/prices?district={ndaliro}",
    "weight": "/plots/{plot}/weights",
    "told_money": "/plots/{plot}/money",
    "doubts": "/doubts",
    "question": "/questions/K7Q2",
    "silent": "/farmers/silent",
    "report": "/report",
    "report-month": "/report?length=month",
    "cohorts": "/cohorts",
    "forecast": "/forecast?district={ndaliro}",
    "weather": "/weather",
    "account": "/account",
    "officers": "/officers",
    "password": "/account/password",
    "second-factor": "/account/second-factor",
    "phones": "/practice",
    "phone": "/practice/2",
    "clock": "/clock",
    "nothing": "/no-such-page",
}
WIDTHS = (320, 768, 1280)
SCHEMES: Final = ("light", "dark")

# What is wrong with the lettering in drawings: too small, outside the window, or one word over another.
LETTERING = """() => {
  const wrong = [];
  for (const drawing of document.querySelectorAll("svg")) {
    const seen = [];
    for (const text of drawing.querySelectorAll(":scope > text")) {
      const box = text.getBoundingClientRect();
      if (!box.width) continue;
      const size = parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a;
      if (size < 11) wrong.push(`${text.textContent} is ${size} px`);
      if (box.left < -1 || box.right > innerWidth + 1) wrong.push(`${text.textContent} is cut off`);
      for (const [other, words] of seen) {
        const beside = box.right < other.left + 1 || other.right < box.left + 1;
        const below = box.bottom < other.top + 4 || other.bottom < box.top + 4;
        if (!beside && !below) wrong.push(`${text.textContent} lies over ${words}`);
      }
      seen.push([box, text.textContent]);
    }
  }
  return wrong;
}"""


# Links and buttons that a thumb would miss: at least 24 px high (WCAG 2.2, success criterion 2.5.8).
THIN = """() => [...document.querySelectorAll("a, button, summary")]
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => box.width > 1 && box.height < 24 && !one.closest(".hidden, .skip"))
  .map(([one, box]) => `${one.textContent.trim()} is ${box.height.toFixed(1)} px high`)"""


@pytest.mark.parametrize("name", PAGES)
def test_page_fits_and_breaks_no_rule(name: str, visitor: Callable[..., Any], screens: Path) -> None:
    """Narrow or wide, light or dark: a page never scrolls sideways, keeps to its policy, and can be read and pressed."""
    visit = visitor(signed_in=name != "sign-in")
    page = visit.page
    if name == "phone":
        say(
            visit.site.house, 2, "Asha, wiki hii: 1 Tafuta wadudu 2 Majani makavu 3 Magugu. KAZI kuona zaidi."
        )
    wrong = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        visit.open(PAGES[name])
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            page.screenshot(path=screens / f"{name}-{width}-{scheme}.png", full_page=True)
            wide = page.evaluate("document.documentElement.scrollWidth")
            wrong += [(width, scheme, what) for what in page.evaluate(LETTERING) + page.evaluate(THIN)]
            wrong += [(width, scheme, f"it is {wide} px wide")] if wide > width else []

    assert [] == wrong
    # A page that is not there is told by the browser too, and by nothing else.
    missing = "Failed to load resource: the server responded with a status of 404 (NOT FOUND)"
    assert ([missing] * len(WIDTHS) if name == "nothing" else []) == visit.complaints


def test_what_is_typed_and_answered_appears_by_itself(visitor: Callable[..., Any]) -> None:
    """Enter sends as the button does; the text sent stands on the slip, and the answer below it before long."""
    visit = visitor()
    visit.open("/practice/1")
    field = visit.page.get_by_label("Write a text")
    field.fill("JUMLA")
    field.press("Enter")
    expect(visit.page.locator(".lines .mine").last).to_contain_text("JUMLA")

    field.fill("JUMLA <b>kg</b>")
    visit.page.get_by_role("button", name="Send").click()
    expect(visit.page.get_by_text("JUMLA <b>kg</b>")).to_be_visible()
    say(visit.site.house, 1, "Jumla: hakuna kilo bado.")
    expect(visit.page.get_by_text("Jumla: hakuna kilo bado.")).to_be_visible(timeout=5000)
    assert [] == visit.complaints


def test_practice_phone_without_script(visitor: Callable[..., Any]) -> None:
    """Without a script a text is sent by the form, and the page shows it at once."""
    visit = visitor(script=False)
    visit.open("/practice/3")
    visit.page.get_by_label("Write a text").fill("MSAADA")
    visit.page.get_by_role("button", name="Send").click()

    expect(visit.page.locator(".lines .mine")).to_contain_text("MSAADA")


def test_hostile_words_stay_words(visitor: Callable[..., Any]) -> None:
    """A name and a text made of mark-up are shown as typed: nothing runs, is fetched, or changes the page."""
    visit = visitor()
    house, asha = visit.site.house, visit.site.ids["asha"]
    hostile = "<img src=/x onerror=document.title='bad'><script>document.title='bad'</script>"
    farmer_id = house.put(
        people.farmer,
        name=hostile,
        language="en",
        district_id=house.district_of(asha),
        state="active",
        added_at=house.service_clock.now(),
    )
    try:
        for path in (f"/farmers/{farmer_id}", "/farmers?name=onerror"):
            visit.open(path)
            expect(visit.page.get_by_text(hostile).first).to_be_visible()
            assert "bad" != visit.page.title()
    finally:
        house.remove(people.farmer, farmer_id)

    assert [] == visit.complaints


# Ways to have a page run something: common practice, no source.
HOSTILE = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "<svg onload=alert(1)>",
    '"><svg/onload=alert(1)>',
    "'><input autofocus onfocus=alert(1)>",
    "<a href=javascript:alert(1)>x</a>",
    "<iframe srcdoc='<script>alert(1)</script>'>",
    "</title><script>alert(1)</script>",
    "</script><script>alert(1)</script>",
    "<style>*{display:none}</style>",
    "<base href=//x.example/>",
    "<form action=//x.example><button>x",
    "<!--<img src=x onerror=alert(1)>",
    "&lt;script&gt;alert(1)&lt;/script&gt;",
    "{{ 7 * 7 }}{% if 1 %}",
    "\uff1cscript\uff1ealert(1)\uff1c/script\uff1e",
)


def test_hostile_texts_run_nowhere(visitor: Callable[..., Any]) -> None:
    """What phones text in is shown as typed wherever an officer reads it: no dialog, no policy is even tried."""
    visit = visitor()
    house, plant = visit.site.house, Planter(visit.site.house)
    dialogs: list[str] = []

    def note(dialog: Dialog) -> None:
        dialogs.append(dialog.message)
        dialog.dismiss()

    visit.page.on("dialog", note)
    farmer_id = visit.site.ids["asha"]
    with house.database.engine.connect() as connection:
        phone_id = connection.execute(
            select(people.farmer_phone.c.phone_id).where(people.farmer_phone.c.farmer_id == farmer_id)
        ).scalar_one()
    for words in HOSTILE:
        plant.text_in(phone_id, words, ago=timedelta(minutes=5), farmer_id=farmer_id)
        plant.question(phone_id, words, ago=timedelta(minutes=5), farmer_id=farmer_id, urgency="emergency")
        plant.text_out(phone_id, words, ago=timedelta(minutes=5), farmer_id=farmer_id, state="in_doubt")
    try:
        for path in ("/", f"/farmers/{farmer_id}", "/doubts"):
            visit.open(path)
            shown = visit.page.inner_text("main")
            # Today shows as many as fit.
            wanted = 8 if path == "/" else len(HOSTILE)
            assert wanted <= sum(words in shown for words in HOSTILE)
    finally:
        for table in (speech.inbound, speech.question, outbox.message):
            with house.database.engine.begin() as connection:
                connection.execute(delete(table).where(table.c.text.in_(HOSTILE)))

    assert [] == dialogs
    assert [] == visit.complaints


def test_clock_keeps_itself_fresh(visitor: Callable[..., Any]) -> None:
    """The wish stands on the page at once, and what the worker has done of it is shown without a reload."""
    visit = visitor()
    visit.open("/clock")
    visit.page.get_by_role("button", name="+ 1 day").click()
    expect(visit.page.get_by_text("24 hours to go")).to_be_visible()

    visit.site.house.setting("clock_wish", "3")
    expect(visit.page.get_by_text(re.compile("3 hours.* to go"))).to_be_visible(timeout=5000)
    visit.site.house.setting("clock_wish", "0")


def test_signing_out_by_keyboard(visitor: Callable[..., Any]) -> None:
    """Everything can be reached by keyboard; after signing out the way back leads to the sign-in page."""
    visit = visitor(anew=True)
    visit.open("/")
    # Without a password it is said once more.
    for words in ("Sign out", "Sign out all the same"):
        expect(visit.page.get_by_role("button", name=words, exact=True)).to_be_visible()
        for _ in range(16):
            visit.page.keyboard.press("Tab")
            if visit.page.evaluate("document.activeElement.textContent") == words:
                break
        visit.page.keyboard.press("Enter")
    expect(visit.page.get_by_text("You are signed out.")).to_be_visible()
    visit.open("/")

    expect(visit.page.get_by_label("Your one-time code")).to_be_visible()


def test_print_has_the_facts_and_no_buttons(visitor: Callable[..., Any], screens: Path) -> None:
    """On paper a farmer's page has its strip and its texts, and no button."""
    visit = visitor()
    visit.open("/farmers/{asha}")
    visit.page.emulate_media(media="print")
    visit.page.screenshot(path=screens / "person-print.png", full_page=True)

    expect(visit.page.locator("svg.lying").first).to_be_visible()
    assert 0 == visit.page.get_by_role("button").locator("visible=true").count()
