"""The phone in a terminal, on a network in this process whose other end is the test."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.main import main
from service.clock import RealClock
from service.core.gateway import InboundText, OutgoingText
from service.gateways.simulator_link import SimulatorLink
from service.gateways.simulator_server import SimulatorServer

# phonenumbers' example mobile number of Tanzania, as people there write it and as networks do.
LOCAL, NUMBER = "0621 234 567", "+255621234567"
Phone = Callable[..., Result]


@pytest.fixture
def link(tmp_path: Path) -> Iterator[SimulatorLink]:
    """The service's end of a network."""
    with SimulatorServer(log_path=tmp_path / "journal.jsonl") as server:
        link = SimulatorLink(server.port, clock=RealClock().now)
        yield link
        link.close()


@pytest.fixture
def phone(link: SimulatorLink, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Phone:
    """Types lines into `trussline phone`, waiting a moment for answers."""
    monkeypatch.chdir(tmp_path)
    runner = CliRunner(env={"TRUSSLINE_SIMULATOR_PORT": str(link._port)})
    runner.invoke(main, ["migrate"])

    def type_in(typed: str, number: str = LOCAL) -> Result:
        return runner.invoke(main, ["phone", number, "--wait", "0.4"], input=typed)

    return type_in


def _text(link: SimulatorLink, words: str) -> None:
    until = RealClock().now() + timedelta(hours=1)
    link.send(OutgoingText(our_ref=words, destination=NUMBER, text=words, valid_until=until))


def test_it_begins_with_the_last_texts(link: SimulatorLink, phone: Phone) -> None:
    """Five are shown with their parts, of the others only how many there are."""
    for number in range(1, 7):
        _text(link, f"Text {number}")
    _text(link, "x" * 161)

    shown = phone("").stdout.splitlines()

    assert "(2 earlier texts)" == shown[0]
    assert ["1 part] Text 3", "1 part] Text 4", "1 part] Text 5", "1 part] Text 6"] == [
        line.partition(", ")[2] for line in shown[1:5]
    ]
    # 161 septets do not fit one SMS: 3GPP TS 23.040, 140 octets of user data.
    assert shown[5].endswith(f"2 parts] {'x' * 161}")


def test_what_is_typed_reaches_the_service(link: SimulatorLink, phone: Phone) -> None:
    """A line is a text to the service's number, from the number in international form; empty lines are none."""
    result = phone("HARVEST 12.5\n\n  \nHELP\n")

    texts = [event for event in link.events(10) if isinstance(event, InboundText)]
    assert [(NUMBER, "15077", "HARVEST 12.5"), (NUMBER, "15077", "HELP")] == [
        (text.source, text.destination, text.text) for text in texts
    ]
    assert 0 == result.exit_code
    assert "> HARVEST 12.5\n(no answer within 0.4 seconds)\n> HELP\n" in result.stdout


@pytest.mark.parametrize("typed", ["+255 621 234 567", "255621234567", "00255621234567", "0621234567"])
def test_all_ways_of_writing_a_number_are_one_phone(link: SimulatorLink, phone: Phone, typed: str) -> None:
    """However it is typed, the same phone shows its text."""
    _text(link, "Hello")

    assert phone("", typed).stdout.endswith("1 part] Hello\n")


def test_a_text_no_phone_could_send_is_refused_and_the_next_goes(link: SimulatorLink, phone: Phone) -> None:
    """The simulator takes 10,000 characters at most; the phone goes on after saying so."""
    result = phone("x" * 10_001 + "\nHELP\n")

    assert "That cannot be texted: a text has at most 10000 characters.\n" == result.stderr
    assert ["HELP"] == [event.text for event in link.events(10) if isinstance(event, InboundText)]
