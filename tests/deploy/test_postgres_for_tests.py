"""The PostgreSQL that the tests bring along."""

import re
import signal
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from postgres_for_tests import server

ROOT = Path(__file__).parents[2]

# Uses a server until it is killed.
USER = """
import signal
from postgres_for_tests import server
with server() as address:
    print(address, flush=True)
    signal.pause()
"""


def folder(address: str) -> Path:
    """Return the folder in which the server of an address lives."""
    found = re.search(r"host=(.+)", address)
    assert found is not None
    return Path(found[1])


@pytest.mark.postgres
def test_server_syncs_and_is_gone_afterwards() -> None:
    """The server writes through to the disk as in earnest, and leaves nothing behind."""
    with server() as address, psycopg.connect(address.replace("+psycopg", "")) as connection:
        settings = [
            connection.execute(f"SHOW {name}".encode()).fetchone()
            for name in ("fsync", "synchronous_commit", "full_page_writes", "listen_addresses")
        ]

    assert [("on",), ("on",), ("on",), ("",)] == settings
    assert not folder(address).exists()


@pytest.mark.postgres
def test_server_ends_with_its_user() -> None:
    """A user that is killed takes the server along: no test run leaves one behind."""
    with subprocess.Popen(
        [sys.executable, "-c", USER],
        cwd=ROOT / "deploy",
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as user:
        assert user.stdout is not None
        assert user.stderr is not None
        address = user.stdout.readline().strip()
        assert folder(address).exists()

        user.send_signal(signal.SIGKILL)
        # The server's keeper holds the other end; it ends when there is nothing left to clean up.
        complaints = user.stderr.read()

    assert "" == complaints
    assert not folder(address).exists()
