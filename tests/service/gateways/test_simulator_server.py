import contextlib
import json
import resource
import select
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final, TypeAlias

import pytest

from service.gateways.simulator_faults import Faults
from service.gateways.simulator_journal import Journal, JournalError
from service.gateways.simulator_server import SimulatorServer
from service.gateways.simulator_texts import TakenText
from service.gateways.simulator_wire import MAX_QUESTION

NOON: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
PHONE: Final = "+255621234567"
ROOT: Final = Path(__file__).parents[3]

Json: TypeAlias = dict[str, Any]
# What a connection gives that has come to its end.
HUNG_UP: Final[Json] = {}


class Talk:
    """A bare connection: what goes over it is written out here rather than made by the code under test."""

    def __init__(self, port: int) -> None:
        """Connect; whatever takes longer than ten seconds is a failure."""
        self.socket = socket.create_connection(("127.0.0.1", port), 10)
        self._lines = self.socket.makefile("rb")

    def write(self, line: bytes) -> None:
        """Write without waiting for an answer."""
        self.socket.sendall(line)

    def read(self) -> Json:
        """Return the next answer, or `HUNG_UP`."""
        line = self._lines.readline()
        return dict(json.loads(line)) if line else HUNG_UP

    def ask(self, question: object) -> Json:
        """Write a question and return its answer."""
        self.write(json.dumps(question).encode() + b"\n")
        return self.read()

    def has_answer(self) -> bool:
        """Return whether there is something to read already."""
        return bool(select.select([self.socket], [], [], 0)[0])

    def close(self) -> None:
        """Hang up."""
        self._lines.close()
        self.socket.close()


@contextlib.contextmanager
def talking(server: SimulatorServer) -> Iterator[Talk]:
    """Talk to a server for a while."""
    talk = Talk(server.port)
    try:
        yield talk
    finally:
        talk.close()


@pytest.fixture
def log_path(tmp_path: Path) -> Path:
    """Return where a journal may lie."""
    return tmp_path / "journal.jsonl"


@pytest.fixture
def server(log_path: Path) -> Iterator[SimulatorServer]:
    """Return a network without faults, listening."""
    with SimulatorServer(log_path=log_path) as server:
        yield server


@pytest.fixture
def talk(server: SimulatorServer) -> Iterator[Talk]:
    """Return a connection to it."""
    with talking(server) as talk:
        yield talk


def a_send(our_ref: str = "r-1", text: str = "Palizi leo.") -> Json:
    """Return the question that hands a text over."""
    return {
        "op": "send",
        "now": NOON.isoformat(),
        "text": {
            "our_ref": our_ref,
            "destination": PHONE,
            "text": text,
            "valid_until": (NOON + timedelta(hours=1)).isoformat(),
        },
    }


def journal_of(path: Path) -> list[Json]:
    """Read a journal as another process would."""
    return [json.loads(line) for line in path.read_bytes().splitlines()]


def test_the_journal_is_written_before_the_answer(talk: Talk, log_path: Path) -> None:
    """Whoever has heard that a text was taken finds it in the journal, one line a text."""
    answer = talk.ask(a_send(text="Vikonyo \U0001f353"))

    assert [
        {
            "our_ref": "r-1",
            "attempt": 1,
            "gateway_ref": answer["value"]["gateway_ref"],
            "destination": PHONE,
            "text": "Vikonyo \U0001f353",
            "parts": 1,
            "at": "2026-11-25T09:00:00Z",
            "reached": True,
        }
    ] == journal_of(log_path)


def test_the_journal_holds_taken_texts_only(log_path: Path) -> None:
    """A refused text leaves no line; one whose answer is lost does, and the connection ends instead."""
    faults = Faults(refused_temporary=0.5, answer_lost_after=1.0)
    refused: list[str] = []
    silent: list[str] = []
    with SimulatorServer(log_path=log_path, faults=faults) as server:
        for number in range(20):
            with talking(server) as talk:
                (silent if talk.ask(a_send(f"r-{number}")) == HUNG_UP else refused).append(f"r-{number}")

    assert silent == [line["our_ref"] for line in journal_of(log_path)]
    assert refused


@pytest.mark.parametrize("fsync", [True, False], ids=["fsync", "no fsync"])
def test_handsets_are_restored_from_the_journal(log_path: Path, *, fsync: bool) -> None:
    """A network that starts again shows on each phone what it showed before, and writes on behind it."""
    for number in range(2):
        with SimulatorServer(log_path=log_path, fsync=fsync) as server, talking(server) as talk:
            talk.ask(a_send(f"r-{number}", f"Kazi {number}"))
            shown = talk.ask({"op": "inbox", "number": PHONE})["value"]

    assert [(1, "Kazi 0"), (2, "Kazi 1")] == [(entry["place"], entry["text"]) for entry in shown]
    assert ["r-0", "r-1"] == [line["our_ref"] for line in journal_of(log_path)]


def test_a_known_reference_is_known_after_a_restart(log_path: Path) -> None:
    """A network that dedupes does so over its own death."""
    answers = []
    for _ in range(2):
        with SimulatorServer(log_path=log_path, dedupe=True) as server, talking(server) as talk:
            answers.append(talk.ask(a_send()))

    assert answers[0] == answers[1]
    assert 1 == len(journal_of(log_path))


def test_a_torn_last_line_was_never_taken(log_path: Path) -> None:
    """A line without an end was never answered for: it goes, and the next text gets a line of its own."""
    with SimulatorServer(log_path=log_path) as server, talking(server) as talk:
        talk.ask(a_send("r-1"))
    whole = log_path.read_bytes()
    log_path.write_bytes(whole + whole[: len(whole) // 2])
    with SimulatorServer(log_path=log_path) as server, talking(server) as talk:
        talk.ask(a_send("r-2"))

    assert ["r-1", "r-2"] == [line["our_ref"] for line in journal_of(log_path)]


def test_a_journal_that_no_network_wrote_is_refused(log_path: Path) -> None:
    """The error names file and line and what to do; the file stays as it is."""
    log_path.write_bytes(b'{"our_ref": "r-1"}\n')
    with pytest.raises(JournalError, match=r"journal\.jsonl, line 1 .* move the file away"):
        SimulatorServer(log_path=log_path)

    assert b'{"our_ref": "r-1"}\n' == log_path.read_bytes()


def test_a_line_that_does_not_fit_on_the_disk_leaves_nothing_behind(log_path: Path) -> None:
    """When the file may not grow the half of a line that fits is taken back, and writing goes on later."""
    taken = TakenText(
        our_ref="r-1",
        attempt=1,
        gateway_ref="g-1",
        destination=PHONE,
        text="Palizi leo.",
        parts=1,
        at=NOON,
        reached=True,
    )
    journal = Journal(log_path)
    journal.append(taken)
    one = log_path.stat().st_size
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    # The interpreter ignores SIGXFSZ, so a write beyond the limit fails with EFBIG (Python's signal module).
    resource.setrlimit(resource.RLIMIT_FSIZE, (one + one // 2, before[1]))
    try:
        with pytest.raises(OSError, match="File too large"):
            journal.append(taken)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    left = log_path.stat().st_size
    journal.append(taken)
    journal.close()
    journal.close()

    assert one == left
    assert 2 == len(journal_of(log_path))


def test_the_journal_is_for_its_owner_only(server: SimulatorServer, log_path: Path) -> None:
    """It shows numbers and texts in clear, so nobody else may read it."""
    assert 0o600 == log_path.stat().st_mode & 0o777


MALFORMED: Final = {
    "no json": b"habari",
    "empty line": b"",
    "no object": b"[1]",
    "no operation": b"{}",
    "unknown operation": b'{"op": "drop"}',
    "missing field": b'{"op": "send"}',
    "unknown field": b'{"op": "health", "please": true}',
    "wrong type": b'{"op": "events", "limit": "many", "now": "2026-11-25T09:00:00Z"}',
    "time without zone": b'{"op": "events", "limit": 1, "now": "2026-11-25T09:00:00"}',
    "bad number": json.dumps(a_send()).replace(PHONE, "0621234567").encode(),
    "not utf-8": b'{"op": "inbox", "number": "\xff"}',
    "half a surrogate pair": b'{"op": "inbox", "number": "\\ud83c"}',
    "deep nesting": b"[" * 50_000,
    "nul octets": b"\x00" * 100,
}


@pytest.mark.parametrize("line", MALFORMED.values(), ids=MALFORMED.keys())
def test_a_malformed_line_is_answered_with_an_error(talk: Talk, log_path: Path, line: bytes) -> None:
    """Nonsense gets one error object without a traceback, changes nothing, and the connection goes on."""
    talk.write(line + b"\n")
    answer = talk.read()

    assert ["error"] == list(answer)
    assert "malformed" == answer["error"]["code"]
    assert "Traceback" not in answer["error"]["detail"]
    assert {"value": None} == talk.ask({"op": "health"})
    assert b"" == log_path.read_bytes()


@pytest.mark.parametrize("octets", [MAX_QUESTION + 1, 20 * MAX_QUESTION], ids=["by one", "by far"])
def test_a_line_too_long_is_read_over(talk: Talk, octets: int) -> None:
    """A line of any length is read to its end, and the next one is answered."""
    talk.write(b"x" * (octets - 1) + b"\n")

    assert "too-long" == talk.read()["error"]["code"]
    assert {"value": None} == talk.ask({"op": "health"})


def test_the_longest_line_is_read(talk: Talk) -> None:
    """The bound is the length of a line with its end."""
    question = b'{"op": "health"'
    talk.write(question + b" " * (MAX_QUESTION - len(question) - 2) + b"}\n")

    assert {"value": None} == talk.read()


def test_what_no_phone_could_send_is_an_error(talk: Talk) -> None:
    """The answer says why, and no event comes of it."""
    now = NOON.isoformat()
    answer = talk.ask({"op": "text_in", "source": "", "destination": "15055", "text": "a", "now": now})

    assert "no-such-text" == answer["error"]["code"]
    assert {"value": []} == talk.ask({"op": "events", "limit": 9, "now": now})


def test_an_event_is_told_until_it_is_acknowledged(talk: Talk) -> None:
    """The questions about events, asked as another program would write them."""
    now = NOON.isoformat()
    waiting = {"op": "events", "limit": 9, "now": now}
    message_ref = talk.ask(
        {"op": "text_in", "source": PHONE, "destination": "15055", "text": "VUNA 12.5", "now": now}
    )["value"]
    (event,) = talk.ask(waiting)["value"]

    assert message_ref == event["message_ref"]
    assert {"value": None} == talk.ask({"op": "acknowledge", "event_ids": [event["event_id"]]})
    assert {"value": []} == talk.ask(waiting)


def test_a_line_that_breaks_off_is_not_taken(server: SimulatorServer, log_path: Path) -> None:
    """A sender killed in the middle of a line has sent nothing, were it whole but for its end."""
    with talking(server) as talk:
        talk.write(json.dumps(a_send()).encode())
        talk.socket.shutdown(socket.SHUT_WR)

        assert HUNG_UP == talk.read()

    assert b"" == log_path.read_bytes()


def test_a_receipt_overtakes_its_answer(log_path: Path) -> None:
    """An early receipt is heard on one connection while the answer is held back on the other.

    The answer is held for an hour, so no stopwatch is needed; closing the network does not wait for it.
    """
    faults = Faults(early_receipt=1.0, hold_seconds=3600)
    heard: list[Json] = []
    with (
        SimulatorServer(log_path=log_path, faults=faults) as server,
        talking(server) as texts,
        talking(server) as rest,
    ):
        texts.write(json.dumps(a_send()).encode() + b"\n")
        while not heard:
            heard = rest.ask({"op": "events", "limit": 9, "now": NOON.isoformat()})["value"]
        answered = texts.has_answer()

    assert ["r-1"] == [receipt["our_ref"] for receipt in heard]
    assert not answered


def test_closing_hangs_up_on_everyone(server: SimulatorServer) -> None:
    """Idle connections learn of the end at once, and the port is free again; closing twice is no error."""
    with talking(server) as talk:
        talk.ask({"op": "health"})
        server.close()
        server.close()

        assert HUNG_UP == talk.read()

    with pytest.raises(ConnectionRefusedError):
        Talk(server.port)


def test_only_this_machine_can_reach_it(server: SimulatorServer) -> None:
    """It knows no passwords, so it listens on the loopback address and on no other."""
    assert ("127.0.0.1", server.port) == server._listener.server_address


def test_a_taken_port_is_an_error(server: SimulatorServer, tmp_path: Path) -> None:
    """Two networks cannot share a port, and the second one leaves no open file behind."""
    with pytest.raises(OSError, match="in use"):
        SimulatorServer(log_path=tmp_path / "other.jsonl", port=server.port)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT], ids=lambda number: number.name)
def test_a_process_says_its_port_and_stops_when_told(log_path: Path, number: signal.Signals) -> None:
    """The first line of its output is the port; a signal ends it cleanly, conversations and all."""
    program = (
        "import pathlib, sys; from service.gateways.simulator_server import run;"
        "run(port=0, log_path=pathlib.Path(sys.argv[1]), seed=1)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program, str(log_path)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        talk = Talk(int(process.stdout.readline()))
        try:
            taken = talk.ask(a_send())
            process.send_signal(number)

            assert HUNG_UP == talk.read()
            assert 0 == process.wait(timeout=10)
            assert (b"", b"") == (process.stdout.read(), process.stderr.read())
        finally:
            talk.close()

    assert [taken["value"]["gateway_ref"]] == [line["gateway_ref"] for line in journal_of(log_path)]
