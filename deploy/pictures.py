"""The pictures of the README, made anew from this version.

    .venv/bin/python deploy/pictures.py

Starts a demo of its own in a temporary folder, plays the README's phone session on its first phone, and keeps
what a browser shows in deploy/pictures. It needs the environment of the tests and a Chromium.
"""

import re
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from playwright.sync_api import FloatRect, Page, expect, sync_playwright

from machine import chromium
from refusal import Refusal

PICTURES: Final = Path(__file__).with_name("pictures")
# A picture that makes the README slow to open is no help; the tests hold all of them to it.
MOST_BYTES: Final = 150_000

_LAST_LINE: Final = "Ctrl-C stops it"
# Ten days of service time are stepped through hour by hour before the demo stands in the present.
_CLOCK_PATIENCE: Final = 180_000
_ANSWER_PATIENCE: Final = 15_000
_WIDTH: Final = 1000
# Pixels by which the torn edges of a slip stand out, and a little paper around them.
_TORN: Final = 12


def main() -> None:
    """Make all pictures.

    Raises:
        Refusal: the demo does not start, or a picture has become too large.
    """
    with _demo() as (url, code), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": _WIDTH, "height": 900}, color_scheme="light")
        _sign_in(page, url, code)
        _wait_for_the_present(page, url)
        _play(page, url)
        _take(page, "phone.png", _with_its_edges(page.locator(".slip").bounding_box()))
        page.goto(f"{url}/farmers")
        page.get_by_role("link", name="Asha").first.click()
        _take(page, "farmer.png", {"x": 0, "y": 0, "width": _WIDTH, "height": 800})
        browser.close()


@contextmanager
def _demo() -> Iterator[tuple[str, str]]:
    """Run a demo; yield the address of its pages and its one-time code."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    with tempfile.TemporaryDirectory(prefix="trussline-pictures-") as folder:
        command = ["-m", "service.cli.main", "demo", "--no-browser", "--port", str(port)]
        demo = subprocess.Popen(
            [sys.executable, *command, "--data", f"{folder}/demo"],
            cwd=PICTURES.parents[1],
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            said = "".join(_until_last_line(demo))
            code = re.search(r"Sign in once with\s+(\S+)", said)
            if code is None:
                raise Refusal(f"The demo did not start:\n{said}")
            yield f"http://127.0.0.1:{port}", code[1]
        finally:
            demo.terminate()
            demo.communicate()


def _until_last_line(demo: subprocess.Popen[str]) -> Iterator[str]:
    for line in demo.stdout or ():
        yield line
        if _LAST_LINE in line:
            return


def _sign_in(page: Page, url: str, code: str) -> None:
    page.goto(f"{url}/sign-in")
    page.get_by_label("Your one-time code").fill(code)
    page.get_by_role("button", name="Sign in with the code").click()
    page.get_by_role("button", name="Sign out").wait_for()


def _wait_for_the_present(page: Page, url: str) -> None:
    page.goto(f"{url}/clock")
    expect(page.get_by_text("It runs like any clock")).to_be_visible(timeout=_CLOCK_PATIENCE)


def _play(page: Page, url: str) -> None:
    """Join in Swahili on the first phone, let three days pass and text a weight."""
    page.goto(f"{url}/practice/1")
    _say(page, "JIUNGE Zuhura 250 miezi 6 iliyopita Ketumali", answer="Kujitoa: ACHA")
    _say(page, "1", answer="Karibu Zuhura")
    page.goto(f"{url}/clock")
    for _ in range(3):
        page.get_by_role("button", name="+ 1 day").click()
    _wait_for_the_present(page, url)
    page.goto(f"{url}/practice/1")
    _say(page, "vuna 12.5", answer="kilo 12.5")


def _say(page: Page, text: str, *, answer: str) -> None:
    page.get_by_label("Write a text").fill(text)
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".lines")).to_contain_text(answer, timeout=_ANSWER_PATIENCE)


def _with_its_edges(slip: FloatRect | None) -> dict[str, float]:
    """Return where the slip lies with the torn edges that stand out of it."""
    if slip is None:
        raise Refusal("The practice phone's page shows no slip.")
    return {
        "x": slip["x"] - _TORN,
        "y": slip["y"] - _TORN,
        "width": slip["width"] + 2 * _TORN,
        "height": slip["height"] + 2 * _TORN,
    }


def _take(page: Page, name: str, clip: object) -> None:
    picture = page.screenshot(path=PICTURES / name, clip=clip)  # type: ignore[arg-type]
    print(f"deploy/pictures/{name}: {len(picture):,} bytes", flush=True)
    if len(picture) > MOST_BYTES:
        raise Refusal(f"{name} is larger than {MOST_BYTES:,} bytes: show less on it.")


if __name__ == "__main__":
    try:
        main()
    except Refusal as refusal:
        sys.exit(str(refusal))
