"""The simulated network as a process of its own, on loopback.

It outlives the service that talks to it, so a service killed at any moment finds on its return a network that
remembers, and a judge finds its journal. What is not kept over the network's own death: events that were
still waiting, as a real network too forgets some of its receipts.
"""

import contextlib
import signal
import socket
import socketserver
import sys
import threading
from collections.abc import Collection
from pathlib import Path
from types import FrameType, TracebackType
from typing import Final, Self

from service.gateways.simulator_faults import NO_FAULTS, Faults
from service.gateways.simulator_journal import Journal
from service.gateways.simulator_network import SimulatedNetwork
from service.gateways.simulator_wire import (
    EVENTS_ANSWER,
    INBOX_ANSWER,
    MAX_QUESTION,
    NOTHING,
    SEND_ANSWER,
    TEXT_IN_ANSWER,
    Acknowledge,
    Events,
    Inbox,
    Ping,
    Question,
    Send,
    TextIn,
    WireError,
    read_question,
    write_error,
    write_value,
)
from service.ids import Ids

LOOPBACK: Final = "127.0.0.1"


class SimulatorServer:
    """A network listening on loopback from the moment it is built until it is closed."""

    def __init__(
        self,
        *,
        log_path: Path,
        port: int = 0,
        seed: int = 0,
        faults: Faults = NO_FAULTS,
        serves: Collection[str] | None = None,
        dedupe: bool = False,
        fsync: bool = False,
    ) -> None:
        """Restore the network from its journal and listen.

        Args:
            log_path: the journal, made where it is missing.
            port: where to listen; 0 lets the machine choose.
            seed: decides which texts the faults befall.
            faults: how likely they are.
            serves: the numbers it delivers to; None is any.
            dedupe: whether a reference it has taken before is answered again rather than delivered again.
            fsync: whether the journal is on the disk before an answer leaves.

        Raises:
            OSError: if the port is taken or the journal cannot be opened.
            JournalError: if the journal cannot be read.
        """
        self._journal = Journal(log_path, fsync=fsync)
        self._stopping = threading.Event()
        try:
            self._network = SimulatedNetwork(
                ids=Ids(),
                seed=seed,
                faults=faults,
                serves=serves,
                dedupe=dedupe,
                journal=self._journal.append,
                past=self._journal.past(),
            )
            self._listener = _Listener(port, self)
        except BaseException:
            self._journal.close()
            raise
        self._thread = threading.Thread(target=self._listener.serve_forever, args=(0.05,), name="simulator")
        self._thread.start()

    @property
    def port(self) -> int:
        """Where it listens on loopback."""
        return int(self._listener.server_address[1])

    def close(self) -> None:
        """Hang up on everyone and stop; closing twice is as closing once."""
        if self._stopping.is_set():
            return
        self._stopping.set()
        self._listener.shutdown()
        self._thread.join()
        self._listener.hang_up()
        self._listener.server_close()
        self._journal.close()

    def __enter__(self) -> Self:
        """Return the server, which listens already."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()

    def answer(self, line: bytes) -> bytes | None:
        """Return the answer to one line, or None where the answer is lost."""
        try:
            return self._reply(read_question(line))
        except WireError as error:
            return write_error(error)
        except ValueError as error:
            return write_error(WireError("no-such-text", str(error)))

    def _reply(self, question: Question) -> bytes | None:
        match question:
            case Send():
                return self._send(question)
            case Events(limit=limit, now=now):
                return write_value(EVENTS_ANSWER, self._network.events(limit, now))
            case Acknowledge(event_ids=event_ids):
                self._network.acknowledge(event_ids)
            case Inbox(number=number, after=after):
                return write_value(INBOX_ANSWER, self._network.inbox(number, after))
            case TextIn(source=source, destination=destination, text=text, now=now):
                message_ref = self._network.text_in(
                    source=source, destination=destination, text=text, now=now
                )
                return write_value(TEXT_IN_ANSWER, message_ref)
            case Ping():
                pass
        return write_value(NOTHING, None)

    def _send(self, question: Send) -> bytes | None:
        outcome = self._network.send(question.text, question.now)
        if outcome.hold:
            # Waiting for the end rather than for the time alone lets a held answer not hold up a stop.
            self._stopping.wait(outcome.hold)
        return None if outcome.answer is None else write_value(SEND_ANSWER, outcome.answer)


class _Listener(socketserver.ThreadingTCPServer):
    """Accepts connections, a thread each, and can hang up on all of them."""

    # A network that restarts must find its port again although old connections linger.
    allow_reuse_address = True

    def __init__(self, port: int, server: SimulatorServer) -> None:
        """Listen on loopback only: the simulator knows no passwords."""
        self.simulator = server
        self._open: set[socket.socket] = set()
        self._lock = threading.Lock()
        super().__init__((LOOPBACK, port), _Conversation)

    def get_request(self) -> tuple[socket.socket, object]:
        """Accept a connection and remember it, before its thread exists."""
        request, address = super().get_request()
        request.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        with self._lock:
            self._open.add(request)
        return request, address

    def shutdown_request(self, request: socket.socket | tuple[bytes, socket.socket]) -> None:
        """Forget a connection that is over."""
        with self._lock:
            self._open.discard(request)
        super().shutdown_request(request)

    def hang_up(self) -> None:
        """End every conversation, so that its thread comes home."""
        with self._lock:
            for request in self._open:
                # The other side may have hung up first.
                with contextlib.suppress(OSError):
                    request.shutdown(socket.SHUT_RDWR)


class _Conversation(socketserver.StreamRequestHandler):
    """One connection: a line in, a line out, until either side hangs up."""

    server: _Listener

    def handle(self) -> None:
        """Answer line by line; a lost answer ends the connection."""
        # The other side may be killed at any byte; that is what this network is for.
        with contextlib.suppress(ConnectionError):
            while (line := self._read_line()) is not None:
                answer = self._answer(line)
                if answer is None:
                    return
                self.wfile.write(answer)

    def _read_line(self) -> bytes | None:
        """Return the next line, cut where it is too long; None at the end, also for a line without one.

        A line that breaks off was never finished, so nothing of it may count.
        """
        line = piece = self.rfile.readline(MAX_QUESTION + 1)
        while piece and not piece.endswith(b"\n"):
            piece = self.rfile.readline(MAX_QUESTION + 1)
        return line if piece else None

    def _answer(self, line: bytes) -> bytes | None:
        if len(line) > MAX_QUESTION:
            return write_error(WireError("too-long", f"a question has at most {MAX_QUESTION} octets"))
        return self.server.simulator.answer(line)


def run(
    *,
    port: int,
    log_path: Path,
    seed: int,
    faults: Faults = NO_FAULTS,
    serves: Collection[str] | None = None,
    dedupe: bool = False,
    fsync: bool = False,
) -> None:
    """Be the network until SIGINT or SIGTERM, having written the port as standard output's first line.

    Call it from the main thread, the only one that hears signals. The arguments are those of
    `SimulatorServer`.
    """
    stop = threading.Event()

    def on_signal(_number: int, _frame: FrameType | None) -> None:
        stop.set()

    before = {number: signal.signal(number, on_signal) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        with SimulatorServer(
            log_path=log_path, port=port, seed=seed, faults=faults, serves=serves, dedupe=dedupe, fsync=fsync
        ) as server:
            sys.stdout.write(f"{server.port}\n")
            sys.stdout.flush()
            stop.wait()
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
