import socket
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import pytest

from service.clock import HandClock
from service.core.gateway import (
    Accepted,
    AnswerLost,
    NotSent,
    OutgoingText,
    RefusalClass,
    Refused,
    Unreachable,
)
from service.gateways.simulator_faults import Fault, Faults
from service.gateways.simulator_link import SimulatorLink
from service.gateways.simulator_server import SimulatorServer

NOON: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
PHONE: Final = "+255621234567"


def a_text(our_ref: str = "r-1", text: str = "Palizi leo.") -> OutgoingText:
    """Return a text that is valid until one."""
    return OutgoingText(our_ref=our_ref, destination=PHONE, text=text, valid_until=NOON + timedelta(hours=1))


def a_link(port: int, *, answer_seconds: float = 10.0) -> SimulatorLink:
    """Return a link to a port of this machine."""
    return SimulatorLink(port, clock=HandClock(NOON).now, answer_seconds=answer_seconds)


class Stranger:
    """Something else that listens where the network should be: it answers each line with the same octets."""

    def __init__(self, answer: bytes, *, hang_up: bool) -> None:
        """Listen until closed."""
        self._answer = answer
        self._hang_up = hang_up
        self.lines: list[bytes] = []
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        self._pool = ThreadPoolExecutor()
        self._pool.submit(self._accept)

    def _accept(self) -> None:
        while True:
            connection, _ = self._listener.accept()
            self._pool.submit(self._converse, connection)

    def _converse(self, connection: socket.socket) -> None:
        with connection, connection.makefile("rb") as lines:
            while line := lines.readline():
                self.lines.append(line)
                connection.sendall(self._answer)
                if self._hang_up:
                    return

    def close(self) -> None:
        """Stop listening; whoever still talks has to hang up first."""
        self._listener.shutdown(socket.SHUT_RDWR)
        self._pool.shutdown()
        self._listener.close()


STRANGE: Final = {
    "no json": (b"220 welcome\n", False),
    "no object": (b"[]\n", False),
    "no value of that kind": (b'{"value": 5}\n', False),
    "neither value nor error": (b"{}\n", False),
    "value and error": (b'{"value": null, "error": {"code": "a", "detail": "b"}}\n', False),
    "half a line": (b'{"value": {"gateway_ref": "g", "parts": 1}}', True),
    "nothing": (b"", True),
}


@pytest.fixture(params=STRANGE)
def stranger(request: pytest.FixtureRequest) -> Iterator[Stranger]:
    """Return each kind of stranger."""
    answer, hang_up = STRANGE[request.param]
    stranger = Stranger(answer, hang_up=hang_up)
    yield stranger
    stranger.close()


def test_an_answer_that_is_none_leaves_the_text_in_doubt(stranger: Stranger) -> None:
    """Bytes left and nothing sensible came back: that is never taken for sent, nor for not sent."""
    link = a_link(stranger.port)
    with pytest.raises(AnswerLost):
        link.send(a_text())
    link.close()

    assert 1 == len(stranger.lines), "a text in doubt is not sent again behind the sender's back"


def test_an_answer_that_is_none_makes_the_network_unreachable(stranger: Stranger) -> None:
    """What may be repeated at will is no doubt, and a phone's text is one."""
    link = a_link(stranger.port)
    with pytest.raises(Unreachable):
        link.events(1)
    with pytest.raises(Unreachable):
        link.inbox(PHONE)
    with pytest.raises(AnswerLost):
        link.text_in(source=PHONE, destination="15055", text="HABARI")

    link.close()


def test_an_error_for_an_answer_stops_the_link() -> None:
    """A network that does not understand us has not taken the text, and will not take the next one either."""
    stranger = Stranger(b'{"error": {"code": "malformed", "detail": "op: what?"}}\n', hang_up=False)
    link = a_link(stranger.port)
    answer = link.send(a_text())
    health = link.health()
    link.close()
    stranger.close()

    assert Refused(reason=RefusalClass.LINK, code="malformed", detail="op: what?") == answer
    assert not health.up
    assert "op: what?" in health.detail


def test_a_silent_network_leaves_the_text_in_doubt(tmp_path: Path) -> None:
    """No answer within the time given is no answer."""
    faults = Faults(slow_answer=1.0, hold_seconds=3600)
    with SimulatorServer(log_path=tmp_path / "journal.jsonl", faults=faults) as server:
        link = a_link(server.port, answer_seconds=0.05)
        with pytest.raises(AnswerLost, match="timed out"):
            link.send(a_text())
        link.close()


def test_a_late_answer_is_not_taken_for_the_next_one(tmp_path: Path) -> None:
    """A connection on which an answer was given up is not used again: no answers get mixed up."""
    faults = Faults(slow_answer=0.5, hold_seconds=3600)
    slow = _first_ref(faults, met=True)
    quick = _first_ref(faults, met=False)
    with SimulatorServer(log_path=tmp_path / "journal.jsonl", faults=faults) as server:
        link = a_link(server.port, answer_seconds=0.5)
        with pytest.raises(AnswerLost):
            link.send(a_text(slow))
        answer = link.send(a_text(quick, "a" * 161))
        shown = link.inbox(PHONE)
        link.close()

    assert isinstance(answer, Accepted)
    assert 2 == answer.parts
    assert [1, 2] == [entry.parts for entry in shown]


def _first_ref(faults: Faults, *, met: bool) -> str:
    """Return the first reference whose first attempt meets, or does not meet, a slow answer."""
    return next(
        ref
        for ref in (f"r-{number}" for number in range(1000))
        if met == (Fault.SLOW_ANSWER in faults.befalling(seed=0, our_ref=ref, attempt=1))
    )


def test_a_network_that_restarted_puts_nothing_in_doubt(tmp_path: Path) -> None:
    """A connection that died while idle is noticed before bytes are written into it."""
    log_path = tmp_path / "journal.jsonl"
    with SimulatorServer(log_path=log_path) as server:
        port = server.port
        link = a_link(port)
        before = link.send(a_text("r-1"))
    with SimulatorServer(log_path=log_path, port=port):
        after = link.send(a_text("r-2"))
        link.close()

    assert isinstance(before, Accepted)
    assert isinstance(after, Accepted)


def test_where_nobody_listens_nothing_is_sent() -> None:
    """A refused connection is no doubt, and health says where it looked."""
    with socket.create_server(("127.0.0.1", 0)) as reserved:
        port = reserved.getsockname()[1]
    link = a_link(port)
    with pytest.raises(NotSent, match=str(port)):
        link.send(a_text())

    assert not link.health().up
    assert str(port) in link.health().detail
    link.close()


def test_a_link_that_was_never_used_can_be_closed() -> None:
    """Building a link opens nothing, so there may be nothing to close."""
    link = a_link(1)
    link.close()

    assert not link.health().up
