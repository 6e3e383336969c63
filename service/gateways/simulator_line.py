"""One connection to the simulated network, made when needed, reused, and made anew after trouble."""

import contextlib
import select
import socket
import threading
from collections.abc import Callable
from typing import BinaryIO, Final

from service.core.gateway import AnswerLost, NotSent
from service.gateways.simulator_wire import MAX_ANSWER

_LOOPBACK: Final = "127.0.0.1"


def _go_on() -> None:
    """Do nothing between a question and its answer."""


class Line:
    """Asks one question after another. Several threads may share it; each waits for its turn."""

    def __init__(
        self,
        port: int,
        *,
        connect_seconds: float,
        answer_seconds: float,
        asked: Callable[[], None] = _go_on,
    ) -> None:
        """Remember where the network is; nothing is opened yet.

        Args:
            port: its port on loopback.
            connect_seconds: how long a connection may take.
            answer_seconds: how long an answer may take.
            asked: called when a question has left and its answer has not been read.
        """
        self._port = port
        self._connect_seconds = connect_seconds
        self._answer_seconds = answer_seconds
        self._asked = asked
        self._lock = threading.Lock()
        self._socket: socket.socket | None = None
        self._answers: BinaryIO | None = None
        self._closed = False

    def ask(self, question: bytes) -> bytes:
        """Write one line and return the line that answers it.

        Raises:
            NotSent: if no connection could be had, so that no byte left.
            AnswerLost: if bytes left and no whole answer came in time.
        """
        with self._lock:
            connection, answers = self._connection()
            try:
                connection.sendall(question)
                self._asked()
                answer = answers.readline(MAX_ANSWER)
            except OSError as error:
                # An answer that comes later must never be taken for that to the next question.
                self._hang_up()
                raise AnswerLost(f"the simulator did not answer: {error}") from error
            if not answer.endswith(b"\n"):
                self._hang_up()
                raise AnswerLost("the simulator hung up without an answer")
            return answer

    def close(self) -> None:
        """Hang up for good; closing twice is as closing once."""
        with self._lock:
            self._closed = True
            self._hang_up()

    def _connection(self) -> tuple[socket.socket, BinaryIO]:
        if self._closed:
            raise NotSent("the link to the simulator is closed")
        if self._socket is not None and _is_stale(self._socket):
            self._hang_up()
        if self._socket is None or self._answers is None:
            try:
                self._socket = socket.create_connection((_LOOPBACK, self._port), self._connect_seconds)
            except OSError as error:
                raise NotSent(f"no simulator on port {self._port}: {error}") from error
            self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._socket.settimeout(self._answer_seconds)
            self._answers = self._socket.makefile("rb")
        return self._socket, self._answers

    def _hang_up(self) -> None:
        for end in (self._answers, self._socket):
            if end is not None:
                with contextlib.suppress(OSError):
                    end.close()
        self._socket = self._answers = None


def _is_stale(connection: socket.socket) -> bool:
    """Return whether an idle connection has something to read.

    That can only be the other side's farewell (or an answer to nothing): writing into it would put a text in
    doubt that can still be sent safely over a new connection.
    """
    poller = select.poll()
    poller.register(connection, select.POLLIN)
    return bool(poller.poll(0))
