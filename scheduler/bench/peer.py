"""The other side of the hook, in a process of its own: posts texts as a gateway does, each with a real signature."""

import json
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from itertools import islice
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit

from service.clock import RealClock
from service.core.errors import Refused
from service.db.measuring.seeding import number_of
from service.gateways.signing import Keys, read_keys
from service.ids import Ids

HOOK: Final = "/hooks/v1/http"
NO_DATABASE: Final = "/healthz"
_OK: Final = 200
_SECONDS: Final = 60
_WORDS: Final = "VUNA {}.5"


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """What is to be called, and how.

    Attributes:
        path: of `HOOK` each call is another text; of `NO_DATABASE` all are the same.
        calls: how many.
        lines: over how many connections, kept open.
        per_second: how many are due in a second, whatever became of those before; None: as fast as may be.
    """

    path: str
    calls: int
    lines: int
    per_second: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Called:
    """What came of it: how long all of it took, and each call from when it was due, in seconds."""

    seconds: float
    waits: Sequence[float]


class Peer:
    """The process that calls."""

    def __init__(self, ours: Connection) -> None:
        """Give orders over `ours`."""
        self._ours = ours

    def call(self, order: Order) -> Called:
        """Have it call, and return when all is answered.

        Raises:
            Refused: a call was not answered with 200.
        """
        self._ours.send(order)
        found = self._ours.recv()
        if isinstance(found, Called):
            return found
        raise Refused(f"The hook did not take a text: {found}")


@contextmanager
def peer_process(url: str, keys: Path, farmers: int) -> Iterator[Peer]:
    """Run the process that calls `url`, with texts of so many farmers in turn."""
    # Not a fork: connections to a database do not bear being copied.
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_obey, args=(theirs, url, keys, farmers), daemon=True)
    process.start()
    try:
        yield Peer(ours)
    finally:
        ours.send(None)
        process.join()


def _obey(orders: Connection, url: str, keys: Path, farmers: int) -> None:
    texts = _texts(farmers, read_keys(keys))
    while (order := orders.recv()) is not None:
        try:
            orders.send(_call(url, order, texts))
        except Exception as error:  # noqa: BLE001 - the other process tells of it
            orders.send(f"{type(error).__name__}: {error}")


def _call(url: str, order: Order, texts: Iterator["_Text"]) -> Called:
    # What is posted is made and signed before: that is the gateway's work and not ours.
    posts = list(islice(texts, order.calls)) if order.path == HOOK else [None] * order.calls
    began = time.perf_counter()
    due = [began + at / order.per_second if order.per_second else None for at in range(order.calls)]
    turns = iter(list(zip(posts, due, strict=True)))
    pause = threading.Event()

    def line() -> list[float]:
        connection = HTTPConnection(urlsplit(url).netloc, timeout=_SECONDS)
        waits = []
        # Each line takes the next turn from the one iterator, which the interpreter hands out one by one.
        for post, moment in turns:
            if moment is not None:
                pause.wait(max(0.0, moment - time.perf_counter()))
            since = time.perf_counter() if moment is None else moment
            _ask(connection, order.path, post)
            waits.append(time.perf_counter() - since)
        connection.close()
        return waits

    with ThreadPoolExecutor(order.lines) as lines:
        running = [lines.submit(line) for _ in range(order.lines)]
        waits = [wait for one in running for wait in one.result()]
    return Called(seconds=time.perf_counter() - began, waits=waits)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Text:
    body: bytes
    headers: dict[str, str]


def _texts(farmers: int, keys: Keys) -> Iterator[_Text]:
    """Make signed texts without end, of one farmer after the other."""
    ids, clock, made = Ids(), RealClock(), 0
    while True:
        now, post_id = clock.now(), ids.reference()
        data = {
            "message_ref": ids.reference(),
            "source": number_of(1 + made % farmers),
            "text": _WORDS.format(1 + made % 9),
            "received_at": now.isoformat(),
        }
        body = json.dumps({"type": "sms.inbound", "id": post_id, "data": data}).encode()
        signed = keys.sign(id=post_id, at=now, body=body)
        yield _Text(body=body, headers={"Content-Type": "application/json", **signed})
        made += 1


def _ask(connection: HTTPConnection, path: str, post: _Text | None) -> None:
    if post is None:
        connection.request("GET", path)
    else:
        connection.request("POST", path, post.body, post.headers)
    answer = connection.getresponse()
    told = answer.read()
    if answer.status != _OK or (post and not json.loads(told)["new"]):
        raise Refused(f"{answer.status} {told.decode()}")
