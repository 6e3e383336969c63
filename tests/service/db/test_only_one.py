import subprocess
import sys
import threading
from pathlib import Path
from typing import Final

import pytest
from sqlalchemy import Engine

from service.core.errors import Refused
from service.db.engine import open_engine
from service.db.only_one import only_one

ROOT: Final = Path(__file__).parents[3]
# Holds the lock until it is killed.
HOLDER: Final = """
import signal, sys
from service.db.engine import open_engine
from service.db.only_one import only_one
with only_one(open_engine(sys.argv[1])):
    print("held", flush=True)
    signal.pause()
"""
SENTENCE: Final = "Another worker is running on this database: stop it first."


def test_a_second_worker_is_refused_with_a_sentence(database_url: str) -> None:
    """As long as one holds the lock the other gets a sentence, and afterwards the lock."""
    first, second = open_engine(database_url), open_engine(database_url)

    with only_one(first), pytest.raises(Refused) as refusal, only_one(second):
        pass
    with only_one(second):
        pass

    assert SENTENCE == str(refusal.value)
    first.dispose()
    second.dispose()


def test_a_worker_that_fails_lets_go(database_url: str) -> None:
    """An error inside takes the lock with it."""
    engine = open_engine(database_url)

    with pytest.raises(ZeroDivisionError), only_one(engine):
        raise ZeroDivisionError
    with only_one(engine):
        pass

    engine.dispose()


def test_a_killed_worker_lets_go(database_url: str) -> None:
    """The system lets go of the lock with the process, so a restart needs no one to tidy up."""
    engine = open_engine(database_url)
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLDER, database_url], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    assert "held\n" == holder.stdout.readline()

    with pytest.raises(Refused), only_one(engine):
        pass
    holder.kill()
    holder.communicate()
    _take_soon(engine)

    engine.dispose()


def _take_soon(engine: Engine) -> None:
    """Take the lock; PostgreSQL may need a moment to notice that the other side is gone."""
    for _ in range(200):
        try:
            with only_one(engine):
                return
        except Refused:
            threading.Event().wait(0.05)
    raise AssertionError("the lock was never let go")


@pytest.mark.parametrize("url", ["sqlite://", "sqlite:///:memory:"])
def test_a_database_in_memory_needs_no_lock(url: str) -> None:
    """Nobody else can reach it."""
    engine = open_engine(url)

    with only_one(engine), only_one(engine):
        pass

    engine.dispose()
