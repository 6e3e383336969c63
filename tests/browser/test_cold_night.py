"""A cold night, whole: an officer alone, on a phone's screen, warns one district of a programme that is no demo.

All of it runs as it would in a programme's office: made by `trussline setup`, its pages and its worker and the other
side of the wire (deploy/example_peer.py) each a process of its own. What left is judged by the journal of that other
side alone, which takes no text whose signature it has not verified.
"""

import json
import re
from base64 import b32decode
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Browser, Page, expect

from service.clock import RealClock
from service.core.totp import counter_at, digits_at
from tests.peers import Peer
from tests.peers import wait_until as wait_patiently
from tests.processes import Processes, free_port

pytestmark = [pytest.mark.browser, pytest.mark.slow]

OFFICER: Final = "Grace in Zaruvi"
PASSWORD: Final = "kettle orbit mustard"
# Whom the warning is for: 40 in Zaruvi; the others are left out for a reason each, or live in Ketumali.
WARNED: Final = range(40)
STOPPED, NO_ALERTS, SILENT = range(40, 43), range(43, 45), range(45, 47)
ELSEWHERE: Final = range(50, 54)
JOIN: Final = {"en": "JOIN {name} 400 {day} {district}", "sw": "JIUNGE {name} 400 {day} {district}"}
YES: Final = {"en": "YES", "sw": "NDIYO"}
# Texts lie with the other side for a while before it answers, and its receipts come later still: there is a middle.
PACE: Final = ("--answer-after", "0.3", "--late", "1", "--late-by", "1")
# Texts that may be claimed at once, by default; so many can be in doubt after a kill.
WINDOW: Final = 8
SYLLABLES: Final = ("ma", "ri", "no", "te", "su", "wa", "ki")


# Fifty farmers join at once: on a machine that does much besides, that takes its time.
PATIENCE: Final = 90.0


def wait_until(holds: Callable[[], bool]) -> None:
    """Wait until something holds."""
    wait_patiently(holds, seconds=PATIENCE)


def language_of(number: int) -> str:
    """Return what a farmer reads: every third English, the others Swahili."""
    return "sw" if number % 3 else "en"


def phone_of(number: int) -> str:
    """Return a farmer's phone, an example number."""
    return f"+2556212345{number:02d}"


def name_of(number: int) -> str:
    """Return a farmer's invented name, another for each."""
    first, rest = divmod(number, len(SYLLABLES))
    return f"{SYLLABLES[first % len(SYLLABLES)]}{SYLLABLES[rest]}{SYLLABLES[(first + rest + 1) % 7]}".title()


def zone_at_noon() -> str:
    """Return a zone in which it is about noon now: what this test does must not fall into quiet hours."""
    ahead = 12 - RealClock().now().hour
    # These zones count the other way round: Etc/GMT-3 is three hours ahead.
    return f"Etc/GMT{-ahead:+d}" if ahead else "Etc/GMT"


@dataclass
class Programme:
    """A programme made by setup, and the other side of its wire."""

    processes: Processes
    peer: Peer
    url: str
    code: str

    def alerted(self, texts: tuple[str, ...]) -> list[str]:
        """Return which phones the other side was given a text of the alert for, one entry a text."""
        return [entry["destination"] for entry in self.peer.texts if entry["text"] in texts]


def settle(peer: Peer, folder: Path, name: str, answers: dict[str, Any]) -> Processes:
    """Set the programme up as `trussline setup` does from a file of answers."""
    file = folder / "answers.toml"
    file.write_text("\n".join(f"{key} = {json.dumps(value)}" for key, value in answers.items()))
    processes = Processes(folder / "data", folder / name)
    processes.run("setup", "--answers", str(file))
    for way, key in (("send", "send_key"), ("receive", "receive_key")):
        setattr(peer, key, (folder / "data" / f"gateway-{way}.keys").read_text(encoding="ascii"))
    return processes


@pytest.fixture
def programme(tmp_path: Path) -> Iterator[Programme]:
    """A programme in trial mode, with two districts, a village and one officer, and its parts running."""
    port, peer_port = free_port(), free_port()
    peer = Peer(tmp_path, hook=f"http://127.0.0.1:{port}/hooks/v1/http", port=peer_port)
    answers = {
        "programme": "Zaruvi Berry Programme",
        "region": "TZ",
        "zone": zone_at_noon(),
        "language": "sw",
        "districts": ["Zaruvi 2150", "Ketumali 1400"],
        "emergency_number": "15099",
        "service_number": "15077",
        "cap_day": 1000,
        "gateway": "http",
        "http_gateway_url": f"http://127.0.0.1:{peer_port}",
        "http_gateway_allow_plain": True,
        "http_gateway_allow_private": True,
        "trial": True,
        "alert_wait_seconds": 1,
        "sender_rate": 100.0,
        "web_port": port,
        "data_dir": str(tmp_path / "data"),
        "administrator": "Asha in the office",
    }
    processes = settle(peer, tmp_path, "programme.toml", answers)
    processes.run("village", "add", "Upper Field", "--district", "Zaruvi")
    told = processes.run("officer", "add", OFFICER, "--district", "Zaruvi")
    (code,) = re.findall(r"hours: ([A-Z2-9-]+)\n", told)
    peer.start()
    processes.start("web")
    processes.start("worker")
    yield Programme(processes, peer, f"http://127.0.0.1:{port}", code)
    processes.kill_all()
    peer.kill()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A screen of 320 px."""
    context = browser.new_context(viewport={"width": 320, "height": 640})
    yield context.new_page()
    context.close()


def everybody_joins(programme: Programme) -> None:
    """Farmers of both districts text in and agree; then some change their mind, and two never answer."""
    peer = programme.peer
    day = (RealClock().now() - timedelta(days=200)).strftime("%d/%m/%Y")
    farmers = (*WARNED, *STOPPED, *NO_ALERTS, *SILENT, *ELSEWHERE)
    for number in farmers:
        district = "Ketumali" if number in ELSEWHERE else "Zaruvi"
        words = JOIN[language_of(number)].format(name=name_of(number), day=day, district=district)
        peer.texts_in(phone_of(number), words)
    wait_until(lambda: len(peer.texts) >= len(farmers))
    for number in farmers:
        if number not in SILENT:
            peer.texts_in(phone_of(number), YES[language_of(number)])
    wait_until(lambda: states(programme) == {"active": len(farmers) - len(SILENT), "pending": len(SILENT)})
    for number in STOPPED:
        peer.texts_in(phone_of(number), "STOP")
    for number in NO_ALERTS:
        peer.texts_in(phone_of(number), "STOP ALERTS")
    wait_until(lambda: states(programme)["stopped"] == len(STOPPED))
    wait_until(lambda: not programme.processes.rows("SELECT 1 FROM message WHERE state = 'due'"))


def states(programme: Programme) -> Counter[str]:
    """Return how many farmers stand in which state."""
    rows = programme.processes.rows("SELECT state, count(*) AS farmers FROM farmer GROUP BY state")
    return Counter({str(row["state"]): int(str(row["farmers"])) for row in rows})


def sign_in(page: Page, programme: Programme) -> None:
    """Use the one-time code once to set a password and a second factor, and from then on sign in with these."""
    page.goto(f"{programme.url}/sign-in")
    page.get_by_text("I have a one-time code").click()
    page.get_by_label("Your one-time code").fill(programme.code)
    page.get_by_role("button", name="Sign in with the code").click()
    page.get_by_label("New password").fill(PASSWORD)
    page.get_by_label("The same again").fill(PASSWORD)
    page.get_by_role("button", name="Keep this password").click()
    page.goto(f"{programme.url}/account/second-factor")
    page.get_by_label("Your present password").fill(PASSWORD)
    page.get_by_role("button", name="Make a secret").click()
    secret = b32decode(page.locator(".secret code").inner_text().replace(" ", ""))
    step = counter_at(RealClock().now())
    page.get_by_label("The six digits it shows now").fill(digits_at(secret, step))
    page.get_by_role("button", name="Confirm").click()
    page.get_by_role("link", name="I have written them down").click()
    page.locator("summary", has_text="More").click()
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Your name here").fill(OFFICER)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    # Each six digits open once; a phone whose clock is half a minute fast shows the next ones already.
    page.get_by_label("Six digits of your second factor", exact=True).fill(digits_at(secret, step + 1))
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_role("link", name="Alerts").wait_for()


def figures(page: Page) -> dict[str, int]:
    """Return the table of an alert's page: what each row says, and its figure."""
    rows = page.locator(".tally tr").all()
    return {
        re.sub(r"\s+", " ", row.locator("th").inner_text()).strip(): int(
            row.locator("td").inner_text().replace(",", "")
        )
        for row in rows
    }


def adds_up(page: Page) -> dict[str, int]:
    """Return how the alert goes, in the order of its page; everybody of the audience must stand in one row."""
    counted = figures(page)
    audience = counted.pop("Phones of the audience")

    assert sum(counted.values()) == audience
    assert 320 == page.evaluate("document.documentElement.scrollWidth")
    return {name.partition(" of these ")[0]: number for name, number in counted.items()}


def own_words_taken_back(page: Page, programme: Programme) -> None:
    """Own words, for tomorrow: a dash doubles the cost, and says so; sent, and called off before the hour comes."""
    page.goto(f"{programme.url}/alerts")
    page.get_by_role("link", name="Own words").click()
    page.get_by_label("Text in Swahili").fill("Mkutano kesho – saa 4 asubuhi, chini ya mwembe.")
    expect(page.get_by_text("Write - instead of –")).to_be_visible()
    page.get_by_label("Text in Swahili").fill("Mkutano kesho - saa 4 asubuhi, chini ya mwembe.")
    expect(page.get_by_text("Write - instead of –")).to_be_hidden()
    page.get_by_label("Text in English").fill("We meet tomorrow at 10 in the morning, below the mango tree.")
    tomorrow = page.get_by_label("Of no use after").input_value()
    page.get_by_label("Send it at").fill(f"{tomorrow[:10]}T08:00")
    page.get_by_label("Of no use after").fill(f"{tomorrow[:10]}T10:00")
    page.get_by_role("button", name="Next: whom it reaches").click()
    expect(page.get_by_role("button", name="Send to 40 phones")).to_be_visible()
    page.get_by_role("button", name="Send to").dblclick()
    expect(page.get_by_text("Scheduled")).to_be_visible()
    page.get_by_role("button", name="Call it off").click()
    expect(page.get_by_text("Called off since")).to_be_visible()

    assert 40 == adds_up(page)["Called off"]


def cold_night_confirmed(page: Page) -> tuple[str, ...]:
    """Write a frost warning from its template, look at whom it reaches, and press Send twice; return its texts."""
    page.get_by_role("link", name="Alerts").click()
    page.get_by_role("link", name="Cold night").click()
    expect(page.get_by_role("checkbox", name="Zaruvi", exact=True)).to_be_checked()
    expect(page.get_by_label("Ketumali")).to_have_count(0)
    page.get_by_label("Lowest temperature").fill("-2")
    page.get_by_role("button", name="Next: whom it reaches").click()
    texts = tuple(page.locator(".said").all_inner_texts())
    assert ["en", "sw"] == [one.get_attribute("lang") for one in page.locator(".said").all()]
    assert {
        "Phones, English 14 farmers": 14,
        "Phones, Swahili 26 farmers": 26,
        "Left out: have stopped all texts": len(STOPPED),
        "Left out: take no alerts": len(NO_ALERTS),
        "Left out: have not agreed to texts yet": len(SILENT),
        "Phones of the audience": 47,
    } == figures(page)
    expect(page.get_by_text("the budget has")).to_be_visible()
    expect(page.get_by_text("40 of 40 are texted before the sun sets")).to_be_visible()
    page.get_by_role("button", name="Send to 40 phones").dblclick()
    expect(page.get_by_text("Scheduled")).to_be_visible()
    return texts


def test_a_cold_night_from_setup_to_the_farmers_answers(programme: Programme, page: Page) -> None:
    """One small screen, two languages, a worker killed in the middle: every phone of the audience is accounted for."""
    processes, peer = programme.processes, programme.peer
    everybody_joins(programme)
    processes.kill("worker")
    peer.kill()
    peer.options = PACE
    peer.start()
    sign_in(page, programme)
    own_words_taken_back(page, programme)

    texts = cold_night_confirmed(page)

    # No worker runs: the alert waits for one, and for the end of its waiting time. What is on the wire when that worker
    # dies, nobody has answered yet.
    processes.start("worker")
    wait_until(lambda: len(programme.alerted(texts)) >= 10)
    processes.kill("worker")
    page.reload()
    adds_up(page)
    before = len(programme.alerted(texts))
    processes.start("worker")
    wait_until(lambda: len(programme.alerted(texts)) >= before + 3)
    page.reload()
    adds_up(page)
    page.get_by_role("button", name="Call off the rest").click()
    expect(page.get_by_text("Called off since")).to_be_visible()
    wait_until(lambda: all_told(page, peer))
    counted = adds_up(page)
    reached = programme.alerted(texts)

    # All receipts are in, so what was sent is what the other side took; who is in doubt was claimed and never left.
    assert counted["Sent"] == len(reached) == len(set(reached))
    assert 0 < counted["In doubt"] <= WINDOW
    assert 0 < counted["Called off"]
    assert len(WARNED) == counted["Sent"] + counted["In doubt"] + counted["Called off"]
    wanted = {(phone_of(number), texts[language_of(number) == "sw"]) for number in WARNED}
    assert {(one["destination"], one["text"]) for one in peer.texts if one["text"] in texts} <= wanted
    assert 401 == peer.ask("POST", "/outgoing", b"{}")[0]

    helped, understood = reached[:2]
    peer.texts_in(helped, "2")
    peer.texts_in(understood, "1")
    wait_until(lambda: len(processes.rows("SELECT 1 FROM alert_recipient WHERE answer IS NOT NULL")) == 2)
    page.reload()
    expect(page.get_by_text("1 understood or covered")).to_be_visible()
    expect(page.get_by_role("link", name=name_of(int(helped[-2:])))).to_be_visible()


def all_told(page: Page, peer: Peer) -> bool:
    """Return whether nothing waits on either side of the wire."""
    page.reload()
    return adds_up(page)["Waiting"] == 0 and peer.ask("GET", "/receipts")[1] == {"waiting": 0}
