"""The other side of a soak: a process of its own, with a journal of its own that no kill of ours touches.

From a checkout that is the example peer, behind signed HTTP. Where only the packages are installed it is not there, and
the simulated network stands in for it.
"""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from service import ids
from service.clock import RealClock
from service.core.errors import Refused
from service.core.gateway import Gateway
from service.gateways.http import HttpGateway
from service.gateways.http_target import read_target
from service.gateways.signing import read_keys, write_key
from service.gateways.simulator_link import SimulatorLink

EXAMPLE_PEER: Final = Path(__file__).parents[1] / "deploy" / "example_peer.py"
SERVICE_NUMBER: Final = "15077"
# One answer in fifty is lost on the way, as happens on real links.
_LOST_ANSWERS: Final = "0.02"
# Nobody listens there, and receipts would be posted only long after the soak has ended.
_HOOK: Final = ("--hook", "http://127.0.0.1:9/", "--late", "1", "--late-by", "86400")
_SIMULATOR: Final = "from service.cli.main import main; main()"
_PATIENCE: Final = 10.0
_LONGEST_SAID: Final = 2000

Clock = Callable[[], datetime]


@dataclass(frozen=True, kw_only=True, slots=True)
class Taken:
    """A text that the other side took, by its own journal."""

    our_ref: str
    destination: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Peer:
    """The other side while it runs.

    Attributes:
        name: what it is, for the figures.
        gateway_name: the name of the way to it.
        connect: opens a line to it; called anew in each process that sends.
        journal: the file it writes what it took into.
    """

    name: str
    gateway_name: str
    connect: Callable[[Clock], Gateway]
    journal: Path

    def taken(self) -> tuple[Taken, ...]:
        """Return what it took, in that order; a line cut short was never answered."""
        raw = self.journal.read_bytes() if self.journal.exists() else b""
        entries = map(json.loads, raw[: raw.rfind(b"\n") + 1].splitlines())
        return tuple(
            Taken(our_ref=entry["our_ref"], destination=entry["destination"])
            for entry in entries
            # The simulated network writes nothing but texts, and so names no event.
            if entry.get("event", "outgoing") == "outgoing"
        )


@contextmanager
def other_side(folder: Path, seed: int, *, program: Path = EXAMPLE_PEER) -> Iterator[Peer]:
    """Run the other side in `folder` until the block ends.

    Raises:
        Refused: it did not start.
    """
    begin = _example_peer if program.exists() else _simulator
    with begin(folder, seed, program) as peer:
        yield peer


@contextmanager
def _example_peer(folder: Path, seed: int, program: Path) -> Iterator[Peer]:
    key_files = [_key_file(folder / f"{direction}.keys") for direction in ("in", "out")]
    journal = folder / "peer.jsonl"
    arguments = [
        "--keys-in",
        str(key_files[0]),
        "--keys-out",
        str(key_files[1]),
        *_HOOK,
        "--journal",
        str(journal),
    ]
    with _running(
        [str(program), *arguments, "--seed", str(seed), "--drop-answers", _LOST_ANSWERS], folder / "peer.log"
    ) as port:
        target = read_target(f"http://127.0.0.1:{port}", allow_plain=True, allow_private=True)
        keys = read_keys(key_files[0])

        def connect(_clock: Clock) -> Gateway:
            # Signatures are of real time, whatever the hour of the soak is.
            return HttpGateway(target, keys=keys, source=SERVICE_NUMBER, clock=RealClock().now)

        yield Peer(name="example peer", gateway_name="http", connect=connect, journal=journal)


@contextmanager
def _simulator(folder: Path, seed: int, _program: Path) -> Iterator[Peer]:
    journal = folder / "simulator.jsonl"
    arguments = ["--port", "0", "--journal", str(journal), "--seed", str(seed), "--drop-receipts", "1"]
    with _running(
        ["-c", _SIMULATOR, "simulator", *arguments, "--drop-answers", _LOST_ANSWERS], folder / "peer.log"
    ) as port:

        def connect(clock: Clock) -> Gateway:
            return SimulatorLink(port, clock=clock)

        yield Peer(name="simulated network", gateway_name="simulator", connect=connect, journal=journal)


def _key_file(file: Path) -> Path:
    file.touch(mode=0o600)
    file.write_text(write_key(ids.key()), encoding="ascii")
    return file


@contextmanager
def _running(arguments: list[str], log: Path) -> Iterator[int]:
    """Run a program whose first line of output is its port, and yield that; its complaints go to `log`."""
    with log.open("wb") as words:
        process = subprocess.Popen(  # noqa: S603 - our own program, no shell
            [sys.executable, *arguments], stdout=subprocess.PIPE, stderr=words
        )
    try:
        told = process.stdout.readline() if process.stdout else b""
        if not told.strip().isdigit():
            said = log.read_text(encoding="utf-8", errors="replace")
            raise Refused(f"The other side of the soak did not start: {said[-_LONGEST_SAID:]}")
        yield int(told)
    finally:
        process.terminate()
        process.communicate(timeout=_PATIENCE)
