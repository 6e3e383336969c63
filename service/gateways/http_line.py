"""The line to an HTTP gateway: one connection, kept open, which can say whether a byte of a request may have left.

The standard library's client is used on purpose: it follows no redirects, tries nothing twice, and lets us open the
connection ourselves. Whatever tries again by itself would hide whether a text may have been sent.
"""

import http.client
import select
import socket
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from service.core.gateway import AnswerLost, NotSent
from service.gateways.http_target import Target

LONGEST_ANSWER: Final = 64 * 1024
# Servers commonly hang up on a silent connection after five seconds or more.
_IDLE_SECONDS: Final = 4.0


@dataclass(frozen=True, kw_only=True, slots=True)
class HttpAnswer:
    """What a gateway answered."""

    status: int
    headers: Mapping[str, str]
    body: bytes


class HttpLine:
    """Asks one question at a time; may be called from several threads."""

    def __init__(
        self, target: Target, *, connect_seconds: float, answer_seconds: float, asked: Callable[[], None]
    ) -> None:
        """Remember where the gateway is; nothing is opened yet.

        Args:
            target: where it is.
            connect_seconds: how long a connection may take.
            answer_seconds: how long an answer may take, from the first byte of the question to its own last.
            asked: called when a question is on its way and its answer not read yet.
        """
        self._target = target
        self._connect_seconds = connect_seconds
        self._answer_seconds = answer_seconds
        self._asked = asked
        self._lock = threading.Lock()
        self._open: http.client.HTTPConnection | None = None
        self._used_at = 0.0
        self._closed = False

    def ask(self, method: str, path: str, body: bytes, headers: Mapping[str, str]) -> HttpAnswer:
        """Send one request and read its answer.

        Raises:
            NotSent: no byte of it left us.
            AnswerLost: some did, and no whole answer came back in time.
        """
        with self._lock:
            connection = self._connection()
            watch = threading.Timer(self._answer_seconds, _hang_up, [connection.sock])
            watch.start()
            try:
                return self._talk(connection, method, path, body, headers)
            except (OSError, http.client.HTTPException) as error:
                self._drop()
                raise AnswerLost(f"the gateway did not answer ({type(error).__name__})") from error
            finally:
                watch.cancel()

    def _talk(
        self,
        connection: http.client.HTTPConnection,
        method: str,
        path: str,
        body: bytes,
        headers: Mapping[str, str],
    ) -> HttpAnswer:
        own = {
            "Host": self._target.authority,
            "Content-Length": str(len(body)),
            "Accept-Encoding": "identity",
        }
        connection.request(method, f"{self._target.path}{path}", body=body, headers={**headers, **own})
        self._asked()
        response = connection.getresponse()
        answer = HttpAnswer(
            status=response.status,
            headers={name.lower(): value for name, value in response.getheaders()},
            body=response.read(LONGEST_ANSWER + 1),
        )
        if len(answer.body) > LONGEST_ANSWER:
            raise http.client.HTTPException("the answer is too long")
        if response.will_close or not response.isclosed():
            self._drop()
        self._used_at = time.monotonic()
        return answer

    def reach(self) -> None:
        """Open a connection, as a question would.

        Raises:
            NotSent: there is none to be had.
        """
        with self._lock:
            self._connection()

    def close(self) -> None:
        """Hang up for good."""
        with self._lock:
            self._closed = True
            self._drop()

    def _connection(self) -> http.client.HTTPConnection:
        if self._closed:
            raise NotSent("the line to the gateway is closed")
        if self._open is not None and not self._is_fresh(self._open.sock):
            self._drop()
        if self._open is None:
            self._open = self._connect()
        return self._open

    def _connect(self) -> http.client.HTTPConnection:
        target = self._target
        try:
            line = target.connect(self._connect_seconds)
        except OSError as error:
            raise NotSent(f"the gateway cannot be reached ({error})") from error
        line.settimeout(self._answer_seconds)
        connection = http.client.HTTPConnection(target.host, target.port)
        # Ours is open already: the client would look the name up anew and might be led elsewhere.
        connection.sock = line
        self._used_at = time.monotonic()
        return connection

    def _is_fresh(self, line: socket.socket) -> bool:
        """Return whether an open connection may be used: what can be read from it now is the end of it."""
        if time.monotonic() - self._used_at > _IDLE_SECONDS:
            return False
        readable, _, _ = select.select([line], [], [], 0)
        return not readable

    def _drop(self) -> None:
        if self._open is not None:
            self._open.close()
            self._open = None


def _hang_up(line: socket.socket) -> None:
    """End a connection under whoever waits on it: an answer that drips in byte by byte keeps no sender waiting."""
    try:
        line.shutdown(socket.SHUT_RDWR)
    except OSError:
        # It is closed already: the answer came at the last moment.
        return
