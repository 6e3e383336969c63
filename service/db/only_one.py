"""The worker's lock: one process a database, let go by the system however that process ends."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine, text

from service.core.errors import Refused
from service.db.copies_sqlite import hand_over

_ADVISORY_KEY = 7_278_746
_TAKEN = "Another worker is running on this database: stop it first."


@contextmanager
def only_one(engine: Engine) -> Iterator[None]:
    """Hold the worker's lock.

    Raises:
        Refused: another process holds it.
    """
    if engine.dialect.name == "postgresql":
        yield from _advisory(engine)
    else:
        yield from _file(engine)


def _advisory(engine: Engine) -> Iterator[None]:
    with engine.connect() as connection:
        held = connection.execute(
            text("SELECT pg_try_advisory_lock(:key)"), {"key": _ADVISORY_KEY}
        ).scalar_one()
        connection.commit()
        if not held:
            raise Refused(_TAKEN)
        try:
            yield
        finally:
            connection.execute(text("SELECT pg_advisory_unlock(:key)"), {"key": _ADVISORY_KEY})
            connection.commit()


def _file(engine: Engine) -> Iterator[None]:
    database = engine.url.database
    if not database or database == ":memory:":
        yield
        return
    lock = Path(f"{database}.worker")
    try:
        lock.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        opened = lock.open("w", encoding="utf-8")
        hand_over(lock)
    except OSError as error:
        raise Refused(
            f"The worker's lock {lock} cannot be opened ({error.strerror}): run this as the user the service runs as, "
            "and give that file back to that user if another one made it."
        ) from error
    with opened as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise Refused(_TAKEN) from error
        yield
