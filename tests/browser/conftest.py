"""A real browser on the pages of a house, served by the real server on loopback.

Screenshots go to the folder `screens` of pytest's temporary folder; `--basetemp=FOLDER` says where that is.
"""

import os
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

from service.web.serve import PageServer
from tests.stand_in_house import StandInHouse, empty_database, fill, make_house

_ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    "--disable-component-update",
    "--disable-sync",
)
_TELL_VIOLATIONS = """
document.addEventListener("securitypolicyviolation",
  (event) => console.error("policy violated:", event.violatedDirective, event.blockedURI));
"""


@dataclass(frozen=True, kw_only=True)
class Site:
    """The pages of a house, being served."""

    house: StandInHouse
    url: str
    ids: dict[str, int]


@dataclass(frozen=True, kw_only=True)
class Visit:
    """One browser window with an officer signed in, and everything it complained of."""

    page: Page
    site: Site
    complaints: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        """Open a page and wait until it stands."""
        self.page.goto(self.site.url + path.format(**self.site.ids))


Visitor = Callable[..., Visit]


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """A filled house behind the real server."""
    folder = tmp_path_factory.mktemp("house")
    url = f"sqlite:///{folder / 'trussline.db'}"
    empty_database(url)
    house = make_house(url, folder)
    ids = fill(house)
    server = PageServer(house, "127.0.0.1", 0)
    thread = threading.Thread(target=server.run)
    thread.start()
    yield Site(house=house, url=server.url, ids=ids)
    server.stop()
    thread.join(timeout=10)
    house.database.close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The machine's Chromium."""
    path = os.environ.get("TRUSSLINE_TEST_CHROMIUM", "/usr/bin/chromium")  # noqa: TID251 - set by deploy/start.py
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=_ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def screens(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where screenshots go."""
    return tmp_path_factory.mktemp("screens", numbered=False)


@pytest.fixture(scope="session")
def session(browser: Browser, site: Site) -> Any:  # noqa: ANN401 - the browser's own
    """The cookies of an officer who has signed in."""
    context = browser.new_context()
    visit = Visit(page=context.new_page(), site=site)
    sign_in(visit)
    cookies = context.cookies()
    context.close()
    return cookies


@pytest.fixture
def visitor(browser: Browser, site: Site, session: Any) -> Iterator[Visitor]:  # noqa: ANN401 - the browser's own
    """Open windows of any width and colour, signed in or not; whoever signs out signs in for themselves before."""
    contexts: list[BrowserContext] = []

    def visit(
        width: int = 1280,
        scheme: str = "light",
        *,
        script: bool = True,
        signed_in: bool = True,
        anew: bool = False,
    ) -> Visit:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=script,
        )
        contexts.append(context)
        context.add_init_script(_TELL_VIOLATIONS)
        visit = Visit(page=context.new_page(), site=site)
        _listen(visit)
        if anew:
            sign_in(visit, "Somebody Else")
        elif signed_in:
            context.add_cookies(session)
            visit.open("/")
        return visit

    yield visit
    for context in contexts:
        context.close()


def _listen(visit: Visit) -> None:
    """Keep what the browser complains of."""

    def note(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            visit.complaints.append(message.text)

    visit.page.on("console", note)
    visit.page.on("pageerror", lambda error: visit.complaints.append(str(error)))


def sign_in(visit: Visit, name: str = "Officer Mlima") -> None:
    """Sign in as an officer does: type a code and press the button."""
    _, code = visit.site.house.officer_code(name)
    visit.open("/sign-in")
    visit.page.get_by_label("Your one-time code").fill(code.lower())
    visit.page.get_by_role("button", name="Sign in with the code").click()
    visit.page.get_by_role("navigation", name="Pages").wait_for()
