"""A database that cannot be written for a while: locked by another process, or on a disk that is full.

Whoever runs the tests may not mount a small disk, so the system's limit on the size of a file stands in for one: a
write past it fails as on a full disk. The database must be whole afterwards, and the service go on unaided.
"""

import resource
import signal
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy.exc import DBAPIError, OperationalError

from scheduler.sender import Sender
from service.core.gateway import OutgoingText
from service.journal import FileJournal
from tests.postroom import Postroom
from tests.village import Village, build_village

TEXTS = 40


@pytest.fixture
def village(tmp_path: Path) -> Iterator[Village]:
    """A village whose database is a file."""
    made = build_village(f"sqlite:///{tmp_path / 'trussline.db'}")
    yield made
    made.database.close()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The database's file."""
    return tmp_path / "trussline.db"


@contextmanager
def locked(file: Path) -> Iterator[None]:
    """Hold the writer's lock, as another process would."""
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


@contextmanager
def full_disk(bytes_left: int, file: Path) -> Iterator[None]:
    """Let no file of this process grow past the size of the database's log and so many bytes."""
    log = file.with_name(f"{file.name}-wal")
    most = max(log.stat().st_size if log.exists() else 0, 4096) + bytes_left
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, handler)


def is_whole(file: Path) -> bool:
    """Read the database through."""
    with closing(sqlite3.connect(file)) as connection:
        return connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


@pytest.mark.slow
def test_a_text_that_comes_while_the_database_is_locked_is_handed_over_again(
    village: Village, file: Path
) -> None:
    """It is not acknowledged as long as it is not stored; with the lock gone it is stored and answered, once."""
    phone = village.phone()
    village.gateway.text_in(source=phone.number, destination="15077", text="HELP")

    with locked(file), pytest.raises(OperationalError, match="locked"):
        village.receiver.take_in()
    stored = village.rows("SELECT ref FROM inbound")
    village.work_through()
    village.work_through()

    assert [] == stored
    assert 1 == len(phone.texts)
    assert 1 == len(village.rows("SELECT ref FROM inbound"))


@pytest.mark.slow
def test_the_database_locked_between_sending_and_settling_costs_no_text_and_no_copy(
    village: Village, file: Path
) -> None:
    """What came of a text is remembered until it can be written."""
    postroom = Postroom(village)
    key = postroom.put()
    other = sqlite3.connect(file, isolation_level=None)

    def lock(_text: OutgoingText) -> None:
        other.execute("BEGIN IMMEDIATE")

    postroom.gateway.script.append(lock)

    with pytest.raises(OperationalError, match="locked"):
        postroom.sender.drain()
    other.close()
    postroom.sender.drain()

    assert "accepted" == postroom.state(key)
    assert 1 == len(postroom.gateway.sent)


@pytest.mark.parametrize("bytes_left", [0, 4096, 20_000, 60_000, 150_000])
def test_a_disk_that_fills_up_stops_the_sending_and_loses_nothing(
    village: Village, file: Path, tmp_path: Path, bytes_left: int
) -> None:
    """Wherever the room ends, each text is sent once, none is claimed past it, and with room again all go."""
    postroom = Postroom(village)
    sender = Sender(
        village.database, village.tools, postroom.gateway, village.clock, window=8, per_second=1000,
        journal=FileJournal(tmp_path / "journal"),
    )  # fmt: skip
    keys = postroom.put_all([{"kind": "reminder", "phone_id": postroom.phone()} for _ in range(TEXTS)])

    with full_disk(bytes_left, file):
        for _ in range(3):
            try:
                sender.drain()
            except DBAPIError:
                continue
    during = len(postroom.gateway.sent)
    for _ in range(3):
        village.clock.advance(timedelta(minutes=1))
        sender.drain()

    assert is_whole(file)
    assert during < TEXTS
    assert {"accepted": TEXTS} == postroom.states()
    assert TEXTS == len({one.our_ref for one in postroom.gateway.sent}) == len(postroom.gateway.sent)
    assert TEXTS == len(keys)


def test_a_text_that_comes_while_the_disk_is_full_is_handed_over_again(village: Village, file: Path) -> None:
    """As when it is locked: not stored, not acknowledged, and neither lost nor doubled."""
    phone = village.phone()
    village.gateway.text_in(source=phone.number, destination="15077", text="HELP")

    with full_disk(0, file), pytest.raises(DBAPIError):
        village.receiver.take_in()
    village.work_through()

    assert is_whole(file)
    assert 1 == len(phone.texts)


def test_without_room_for_the_journal_nothing_leaves(village: Village, tmp_path: Path) -> None:
    """What could not be written down is not sent: it is given back, the route rests, and it leaves later."""
    postroom = Postroom(village)
    folder = tmp_path / "journal"
    folder.write_text("in the way", encoding="utf-8")
    sender = Sender(
        village.database, village.tools, postroom.gateway, village.clock, window=8, per_second=1000,
        journal=FileJournal(folder),
    )  # fmt: skip
    key = postroom.put()

    sender.drain()
    without = (len(postroom.gateway.sent), postroom.state(key))
    folder.unlink()
    postroom.wait(minutes=1)
    sender.drain()

    assert (0, "due") == without
    assert (1, "accepted") == (len(postroom.gateway.sent), postroom.state(key))
