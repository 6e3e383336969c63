"""How the example peer posts to the service: signed, and again and again until it is taken. Standard library only."""

import base64
import heapq
import hmac
import http.client
import itertools
import json
import random
import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

TRIES = 12
HANDS = 4
Object = dict[str, Any]


def read_keys(path: Path) -> list[bytes]:
    """Return the keys in a file, the newest first: whsec_ and base64, one a line.

    Ends the program with a sentence where the file cannot be read.
    """
    try:
        lines = path.read_text("ascii").split()
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "it holds no keys"
        sys.exit(
            f"The keys {path} cannot be read ({why}): trussline setup makes them where the gateway is http."
        )
    return [base64.b64decode(line.removeprefix("whsec_")) for line in lines]


def signature(key: bytes, id_: str, stamp: str, body: bytes) -> str:
    """Return the signature of a body by Standard Webhooks: HMAC-SHA256 over id.timestamp.body."""
    signed = b".".join((id_.encode(), stamp.encode(), body))
    return "v1," + base64.b64encode(hmac.digest(key, signed, "sha256")).decode()


def now() -> str:
    """Return the present instant as RFC 3339 has it."""
    return datetime.now(tz=UTC).isoformat().replace("+00:00", "Z")


class Poster:
    """Posts receipts and inbound texts to the service's hook, each again and again until it is taken."""

    def __init__(self, url: str, keys: list[bytes], keep: Callable[..., None]) -> None:
        """Post to `url`, signed with `keys`, and tell `keep` what came of each post."""
        self._url, self._keys, self._keep = urlsplit(url), keys, keep
        self._order = itertools.count()
        self._due: list[tuple[float, int, int, str, bytes]] = []
        self._changed = threading.Condition()
        self.waiting = 0
        for _ in range(HANDS):
            threading.Thread(target=self._work, daemon=True).start()

    def later(self, seconds: float, kind: str, data: Object, id_: str) -> None:
        """Post `data` under the id after some seconds."""
        body = json.dumps({"type": kind, "id": id_, "time": now(), "gateway": "http", "data": data}).encode()
        with self._changed:
            self.waiting += 1
            self._put(seconds, 1, id_, body)

    def _put(self, seconds: float, attempt: int, id_: str, body: bytes) -> None:
        heapq.heappush(self._due, (time.monotonic() + seconds, next(self._order), attempt, id_, body))
        self._changed.notify()

    def _work(self) -> None:
        while True:
            attempt, id_, body = self._next()
            status = self._post(id_, body)
            with self._changed:
                # Taken, or never to be: else it is posted again, under the same id and with a fresh signature.
                if status == 200 or 400 <= status < 500 or attempt >= TRIES:
                    self.waiting -= 1
                else:
                    self._put(min(0.2 * 2**attempt, 30) * random.uniform(0.5, 1.5), attempt + 1, id_, body)
                    continue
            self._keep("posted", id=id_, status=status, attempts=attempt)

    def _next(self) -> tuple[int, str, bytes]:
        with self._changed:
            while not self._due or self._due[0][0] > time.monotonic():
                self._changed.wait(self._due[0][0] - time.monotonic() if self._due else None)
            _, _, attempt, id_, body = heapq.heappop(self._due)
        return attempt, id_, body

    def _post(self, id_: str, body: bytes) -> int:
        stamp = str(int(time.time()))
        headers = {
            "Content-Type": "application/json",
            "webhook-id": id_,
            "webhook-timestamp": stamp,
            "webhook-signature": " ".join(signature(key, id_, stamp, body) for key in self._keys),
        }
        kind = http.client.HTTPSConnection if self._url.scheme == "https" else http.client.HTTPConnection
        connection = kind(self._url.hostname or "", self._url.port, timeout=10)
        try:
            connection.request("POST", self._url.path, body=body, headers=headers)
            return connection.getresponse().status
        except (OSError, http.client.HTTPException):
            return 0
        finally:
            connection.close()
