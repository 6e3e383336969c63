"""The whole wire: pages, worker and the example peer, each its own process, on a programme that is no demo."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from service.core.kinds import KINDS
from tests.peers import RECEIVE_KEY, SEND_KEY, Peer, wait_until
from tests.processes import Processes, free_port

pytestmark = pytest.mark.slow

NEEMA = "+255621234567"
FAULTS = {
    "drop-answers": 0.05,
    "late": 0.5,
    "late-by": 0.5,
    "double": 0.5,
    "jumble": 0.5,
    "early": 0.3,
    "seed": 3,
}
_STATES = "SELECT DISTINCT state FROM message WHERE kind = 'reply'"


@dataclass
class Programme:
    """A programme in trial mode on this machine, with the example peer as its gateway."""

    folder: Path
    port: int = field(default_factory=free_port)
    peer: Peer = field(init=False)
    processes: Processes = field(init=False)

    def __post_init__(self) -> None:
        """Write settings and keys, make the database, and start the peer."""
        hook = f"http://127.0.0.1:{self.port}/hooks/v1/http"
        options = tuple(word for name, value in FAULTS.items() for word in (f"--{name}", str(value)))
        self.peer = Peer(self.folder, hook=hook, options=options).start()
        for name, key in (("send", SEND_KEY), ("receive", RECEIVE_KEY)):
            file = self.folder / f"gateway-{name}.keys"
            file.write_text(key)
            file.chmod(0o600)
        settings = {
            "programme": "Zaruvi Berry Programme",
            "data_dir": str(self.folder),
            "web_port": self.port,
            "gateway": "http",
            "http_gateway_url": f"http://127.0.0.1:{self.peer.port}",
            "http_gateway_allow_plain": True,
            "http_gateway_allow_private": True,
            "trial": True,
            "sender_rate": 500.0,
        }
        file = self.folder / "programme.toml"
        file.write_text("\n".join(f"{name} = {json.dumps(value)}" for name, value in settings.items()))
        self.processes = Processes(self.folder, file)
        self.processes.run("migrate")
        self.processes.run("district", "add", "Ketumali")

    def close(self) -> None:
        """Leave nothing running."""
        self.processes.kill_all()
        self.peer.kill()


@pytest.fixture
def programme(tmp_path: Path) -> Iterator[Programme]:
    """A programme whose pages and worker run."""
    made = Programme(tmp_path)
    made.processes.start("web")
    made.processes.start("worker")
    yield made
    made.close()


def test_a_farmer_joins_through_the_peer_and_the_worker_dies_in_the_middle(programme: Programme) -> None:
    """Signed both ways, with answers lost and receipts late, doubled and jumbled, every answer arrives once."""
    peer = programme.peer
    peer.texts_in("0621 234 567", "JOIN Neema 400 12/10/2026 Ketumali", copies=3)
    wait_until(lambda: len(peer.texts) == 1)
    programme.processes.kill("worker")
    programme.processes.start("worker")
    peer.texts_in("00255621234567", "YES", copies=2)
    wait_until(lambda: any("Welcome" in one["text"] for one in peer.texts))
    peer.texts_in(NEEMA, "harvest ", part={"ref": "9", "number": 1, "total": 2})
    peer.texts_in(NEEMA, "4.5", part={"ref": "9", "number": 2, "total": 2})
    wait_until(lambda: any("4.5" in one["text"] for one in peer.texts))
    wait_until(lambda: {"delivered"} == {row["state"] for row in programme.processes.rows(_STATES)})

    assert {NEEMA} == {one["destination"] for one in peer.texts}
    assert len({one["our_ref"] for one in peer.texts}) == len(peer.texts)
    assert [{"name": "Neema", "state": "active"}] == programme.processes.rows(
        "SELECT name, state FROM farmer"
    )
    assert [{"grams": 4500}] == programme.processes.rows("SELECT grams FROM harvest")
    assert [{"texts": 3, "phones": 1}] == programme.processes.rows(
        "SELECT count(*) AS texts, count(DISTINCT phone_id) AS phones FROM inbound"
    )
    assert set(KINDS) >= {str(row["kind"]) for row in programme.processes.rows("SELECT kind FROM message")}
