"""The adapter for signed HTTP before servers that answer in every way there is, good and bad."""

import json
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from service.core.gateway import Accepted, AnswerLost, NotSent, OutgoingText, RefusalClass, Refused
from service.gateways.http import HttpGateway, kind_of
from service.gateways.http_target import Target, read_target
from service.gateways.signing import Keys

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
KEYS = Keys((b"k" * 32,))
TEXT = OutgoingText(
    our_ref="r-1", destination="+255621234567", text="Palizi.", valid_until=NOW + timedelta(hours=1)
)
TAKEN = b'{"gateway_ref":"g-1","parts":2,"alphabet":"gsm7"}'

Behaviour = Callable[[socket.socket], None]


def read_request(line: socket.socket) -> bytes:
    """Read one whole request, which may come in pieces."""
    read = b""
    while b"\r\n\r\n" not in read:
        read += line.recv(65536) or b"\r\n\r\n"
    head, _, body = read.partition(b"\r\n\r\n")
    length = int(head.lower().partition(b"content-length: ")[2].partition(b"\r\n")[0] or 0)
    while len(body) < length:
        body += line.recv(65536)
    return head + b"\r\n\r\n" + body


def answer(status: str, body: bytes = b"", *headers: str) -> Behaviour:
    """Return a server's behaviour: it reads a request and answers."""
    lines = [f"HTTP/1.1 {status}", f"Content-Length: {len(body)}", *headers, "", ""]

    def behave(line: socket.socket) -> None:
        read_request(line)
        line.sendall("\r\n".join(lines).encode() + body)

    return behave


class Server:
    """Accepts connections and behaves as it is told, each connection by the next behaviour."""

    def __init__(self, behaviours: list[Behaviour]) -> None:
        """Listen on a free port of this machine."""
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listener.getsockname()[1]
        self.connections = 0
        self._behaviours = behaviours
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        for behave in self._behaviours:
            try:
                line, _ = self._listener.accept()
            except OSError:
                return
            self.connections += 1
            with line:
                try:
                    behave(line)
                except OSError:
                    continue

    def close(self) -> None:
        """Stop listening."""
        self._listener.close()


@contextmanager
def gateway_before(*behaviours: Behaviour, answer_seconds: float = 1.0) -> Iterator[HttpGateway]:
    """Open a gateway before a server that behaves so."""
    server = Server(list(behaviours))
    gateway = open_gateway(server.port, answer_seconds=answer_seconds)
    yield gateway
    gateway.close()
    server.close()


def open_gateway(port: int, *, answer_seconds: float = 1.0) -> HttpGateway:
    """Return a gateway at a port of this machine."""
    target = read_target(f"http://127.0.0.1:{port}/api/", allow_plain=True, allow_private=True)
    return HttpGateway(
        target,
        keys=KEYS,
        source="15077",
        clock=lambda: NOW,
        connect_seconds=1.0,
        answer_seconds=answer_seconds,
    )


def test_a_text_is_posted_signed_and_under_its_key() -> None:
    """The request is what the contract says, byte for byte what was signed."""
    seen: list[bytes] = []

    def behave(line: socket.socket) -> None:
        seen.append(read_request(line))
        line.sendall(b"HTTP/1.1 202 Accepted\r\nContent-Length: %d\r\n\r\n" % len(TAKEN) + TAKEN)

    with gateway_before(behave) as gateway:
        taken = gateway.send(TEXT)

    head, _, body = seen[0].partition(b"\r\n\r\n")
    lines = head.decode().split("\r\n")
    headers = {name.lower(): value for name, value in (line.split(": ", 1) for line in lines[1:])}
    assert Accepted(gateway_ref="g-1", parts=2) == taken
    assert "POST /api/outgoing HTTP/1.1" == lines[0]
    assert '"r-1"' == headers["idempotency-key"]
    assert "r-1" == KEYS.verify(headers, body, now=NOW)
    assert {
        "our_ref": "r-1",
        "destination": "+255621234567",
        "source": {"kind": "short", "value": "15077"},
        "text": "Palizi.",
        "coding": "auto",
        "valid_until": "2026-11-25T10:00:00Z",
        "receipt": True,
    } == json.loads(body)


REFUSALS: dict[str, tuple[Behaviour, RefusalClass, str, timedelta | None]] = {
    "too fast": (
        answer("429 Slow", b"", "Retry-After: 7"),
        RefusalClass.PACE,
        "http-429",
        timedelta(seconds=7),
    ),
    "not now": (answer("503 Busy", b"", "Retry-After: 0"), RefusalClass.PACE, "http-503", timedelta()),
    "not now, by a date": (
        answer("503 Busy", b"", "Retry-After: Wed, 25 Nov 2026 09:00:00 GMT"),
        RefusalClass.PACE,
        "http-503",
        None,
    ),
    "a problem": (
        answer(
            "422 No", b'{"type":"https://peer.example/errors/bad-number","detail":"0621 234 567 is none"}'
        ),
        RefusalClass.PERMANENT,
        "bad-number",
        None,
    ),
    "too long": (answer("413 Long"), RefusalClass.PERMANENT, "http-413", None),
    "signature refused": (answer("401 Who", b"not json"), RefusalClass.LINK, "http-401", None),
    "no such place": (answer("404 Gone", b"[]"), RefusalClass.LINK, "http-404", None),
    "led elsewhere": (
        answer("302 There", b"", "Location: http://127.0.0.1:1/"),
        RefusalClass.LINK,
        "http-302",
        None,
    ),
}


@pytest.mark.parametrize(("behave", "reason", "code", "rest"), REFUSALS.values(), ids=REFUSALS.keys())
def test_a_refusal_says_what_to_do_next(
    behave: Behaviour, reason: RefusalClass, code: str, rest: timedelta | None
) -> None:
    """Each answer that is no acceptance has its class; numbers in it are kept off our screens."""
    with gateway_before(behave) as gateway:
        refused = gateway.send(TEXT)

    assert isinstance(refused, Refused)
    assert (reason, code, rest) == (refused.reason, refused.code, refused.retry_after)
    assert "621" not in refused.detail


def _drip(line: socket.socket) -> None:
    read_request(line)
    line.sendall(b"HTTP/1.1 202 Accepted\r\n")
    never = threading.Event()
    for _ in range(100):
        line.sendall(b"X-Wait: 1\r\n")
        never.wait(0.1)


def _silent(line: socket.socket) -> None:
    read_request(line)
    threading.Event().wait(3)


LOST: dict[str, Behaviour] = {
    "hangs up": lambda line: None,
    "hangs up after reading": lambda line: (read_request(line), None)[1],
    "hangs up within the answer": lambda line: line.sendall(b"HTTP/1.1 202 Acc"),
    "cut short": lambda line: line.sendall(b"HTTP/1.1 202 Accepted\r\nContent-Length: 999\r\n\r\n" + TAKEN),
    "no http": lambda line: line.sendall(b"\x00\xff\x00\r\n\r\n"),
    "endless": answer("202 Accepted", b"x" * 70_000),
    "unreadable acceptance": answer("202 Accepted", b"<html>"),
    "acceptance without reference": answer("202 Accepted", b'{"parts":1}'),
    "in progress": answer("409 Conflict"),
    "broken behind a proxy": answer("502 Bad Gateway"),
    "broken": answer("500 Broken"),
    "drips in": _drip,
    "silent": _silent,
}


@pytest.mark.parametrize("behave", LOST.values(), ids=LOST.keys())
def test_an_answer_that_tells_nothing_leaves_the_text_in_doubt(behave: Behaviour) -> None:
    """Bytes left, and what came back is no word on them: nobody may say that the text was not sent."""
    began = time.monotonic()
    with gateway_before(behave, answer_seconds=0.5) as gateway, pytest.raises(AnswerLost):
        gateway.send(TEXT)

    assert time.monotonic() - began < 2, "an answer that does not end must not hold up the sender"


def test_nobody_there_means_not_sent() -> None:
    """Where no connection can be had, nothing left."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
    gateway = open_gateway(port)

    with pytest.raises(NotSent):
        gateway.send(TEXT)
    assert not gateway.health().up


def test_a_closed_gateway_sends_nothing() -> None:
    """Closing twice is as closing once, and a send afterwards is not sent."""
    with gateway_before(answer("202 Accepted", TAKEN)) as gateway:
        gateway.close()
        gateway.close()
        with pytest.raises(NotSent):
            gateway.send(TEXT)


def test_a_connection_is_kept_and_one_that_ended_is_not_used() -> None:
    """A server that hung up between two texts costs neither of them."""

    def twice(line: socket.socket) -> None:
        answer("202 Accepted", TAKEN)(line)
        answer("202 Accepted", TAKEN)(line)

    server = Server([twice, answer("202 Accepted", TAKEN)])
    gateway = open_gateway(server.port)
    answers: list[Any] = [gateway.send(TEXT) for _ in range(2)]
    # The server has closed its end by the time it waits for the next connection.
    threading.Event().wait(0.1)
    answers.append(gateway.send(TEXT))
    gateway.close()
    server.close()

    assert [Accepted(gateway_ref="g-1", parts=2)] * 3 == answers
    assert 2 == server.connections


def test_a_name_that_leads_home_is_not_followed() -> None:
    """A public name that is looked up as a private address is never connected to."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        target = Target(
            scheme="http",
            host="localhost",
            port=listener.getsockname()[1],
            path="",
            may_be_private=False,
        )
        gateway = HttpGateway(target, keys=KEYS, source="15077", clock=lambda: NOW)
        with pytest.raises(NotSent, match="private network"):
            gateway.send(TEXT)


def test_nobody_certified_means_not_sent() -> None:
    """A gateway whose certificate cannot be had gets no byte of a text."""
    server = Server([lambda line: line.sendall(b"plain words, no TLS\r\n")])
    target = Target(scheme="https", host="127.0.0.1", port=server.port, path="", may_be_private=True)
    gateway = HttpGateway(target, keys=KEYS, source="15077", clock=lambda: NOW)

    with pytest.raises(NotSent):
        gateway.send(TEXT)
    server.close()


@pytest.mark.parametrize(
    ("source", "kind"), [("15077", "short"), ("+255621234567", "long"), ("ZARUVI", "alpha")]
)
def test_a_sender_is_named_for_what_it_is(source: str, kind: str) -> None:
    """A short code, a number, or a name."""
    assert kind == kind_of(source)
