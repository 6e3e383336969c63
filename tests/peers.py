"""The example peer as its own process, for tests of the wire."""

import http.client
import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from service.clock import RealClock
from service.gateways.http import HttpGateway
from service.gateways.http_target import read_target
from service.gateways.signing import parse_keys, write_key

PEER: Final = Path(__file__).parents[1] / "deploy" / "example_peer.py"
SEND_KEY: Final = write_key(b"s" * 32)
RECEIVE_KEY: Final = write_key(b"r" * 32)
# Nobody listens there: for tests in which nothing is posted.
NOWHERE: Final = "http://127.0.0.1:9/hooks/v1/http"


@dataclass
class Peer:
    """The example peer, which can be killed and started again where it was."""

    folder: Path
    hook: str = NOWHERE
    options: tuple[str, ...] = ()
    port: int = 0
    send_key: str = SEND_KEY
    receive_key: str = RECEIVE_KEY
    _process: subprocess.Popen[bytes] | None = field(default=None, init=False)

    def start(self) -> "Peer":
        """Start it; it has told its port when this returns."""
        for name, key in (("in", self.send_key), ("out", self.receive_key)):
            file = self.folder / f"peer-{name}.keys"
            file.write_text(key)
            file.chmod(0o600)
        arguments = [
            *("--port", str(self.port), "--hook", self.hook, "--journal", str(self.journal)),
            *(
                "--keys-in",
                str(self.folder / "peer-in.keys"),
                "--keys-out",
                str(self.folder / "peer-out.keys"),
            ),
        ]
        self._process = subprocess.Popen(
            [sys.executable, str(PEER), *arguments, *self.options], stdout=subprocess.PIPE
        )
        assert self._process.stdout is not None
        self.port = int(self._process.stdout.readline())
        return self

    def kill(self) -> None:
        """Kill it without a word."""
        process = self._process
        if process is not None and process.stdout is not None:
            process.kill()
            process.stdout.close()
            process.wait(timeout=10)
        self._process = None

    @property
    def journal(self) -> Path:
        """The file that keeps every text it took: the truth about what a phone would have received."""
        return self.folder / "peer.jsonl"

    @property
    def texts(self) -> list[dict[str, Any]]:
        """The texts it took, oldest first, read from its journal."""
        lines = self.journal.read_bytes().splitlines() if self.journal.exists() else []
        return [entry for entry in map(json.loads, lines) if entry["event"] == "outgoing"]

    def texts_in(self, source: str, words: str, **more: object) -> None:
        """Let a phone text in."""
        body = json.dumps({"source": source, "destination": "15077", "text": words, **more}).encode()
        assert 202 == self.ask("POST", "/phone", body)[0]

    def ask(self, method: str, path: str, body: bytes = b"") -> tuple[int, Any]:
        """Ask it something; return status and answer."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            connection.request(method, path, body=body)
            response = connection.getresponse()
            return response.status, json.loads(response.read())
        finally:
            connection.close()

    def gateway(self, *, answer_seconds: float = 5.0) -> HttpGateway:
        """Return our adapter before it."""
        target = read_target(f"http://127.0.0.1:{self.port}", allow_plain=True, allow_private=True)
        return HttpGateway(
            target,
            keys=parse_keys([SEND_KEY]),
            source="15077",
            clock=RealClock().now,
            answer_seconds=answer_seconds,
        )


def wait_until(holds: Callable[[], bool], *, seconds: float = 20.0) -> None:
    """Wait until something holds; fail if it does not in time."""
    never, until = threading.Event(), time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < until, "what was waited for did not come"
        never.wait(0.05)
