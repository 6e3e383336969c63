"""Copies of a SQLite database: VACUUM INTO reads one state of it whatever is written meanwhile; cp would not."""

import os
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy import Engine

from service.core.errors import Refused
from service.db.engine import open_engine

# The write-ahead log and its index belong to the file they stand beside, and to no other.
_PARTS: Final = ("", "-wal", "-shm")


class SqliteCopies:
    """Copies of the database in one file."""

    def __init__(self, engine: Engine) -> None:
        """Copy the database that `engine` opens.

        Raises:
            Refused: it is in memory.
        """
        if engine.url.database in {None, "", ":memory:"}:
            raise Refused("A database in memory has no backup.")
        self._engine = engine
        self._file = Path(str(engine.url.database))

    def make(self, file: Path) -> None:
        """Write a whole copy to `file`, which is there and empty."""
        try:
            with closing(sqlite3.connect(self._file, timeout=30, isolation_level=None)) as connection:
                connection.execute("VACUUM INTO ?", (str(file),))
        except sqlite3.DatabaseError as error:
            raise Refused(f"The database cannot be copied ({error}).") from error
        _read_through(file)

    def told_by(self, file: Path) -> Mapping[str, str]:
        """Return the settings that lie in a copy, and its version as `version`."""
        _read_through(file)
        with closing(_open_to_read(file)) as connection:
            tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
            if not {"setting", "alembic_version"} <= tables:
                return {}
            told = dict(connection.execute("SELECT name, value FROM setting").fetchall())
            version = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        return {**told, "version": version[0]} if version else told

    def put_back(self, file: Path) -> None:
        """Let the database be what the copy holds; the files of the old one are set aside, not deleted."""
        coming = self._file.with_name(f"{self._file.name}.coming")
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, coming)
            coming.chmod(0o600)
            hand_over(coming)
            to_disk(coming)
            self._engine.dispose()
            for part in _PARTS:
                old = self._beside(part)
                if old.exists():
                    old.replace(self._beside(f".replaced{part}"))
            coming.rename(self._file)
            to_disk(self._file.parent)
        except OSError as error:
            raise Refused(
                f"The database {self._file} cannot be put back ({error.strerror}): make room in its folder, "
                "or the right to write there, then try again."
            ) from error

    def holds_something(self) -> bool:
        """Return whether there is something that putting back would replace."""
        return self._file.exists()

    @contextmanager
    def trial(self) -> Iterator[Engine]:
        """Open an empty database beside this one, and be rid of it afterwards."""
        engine = open_engine(f"sqlite:///{self._beside('.trial')}")
        try:
            yield engine
        finally:
            engine.dispose()
            for part in (*_PARTS, ".replaced"):
                self._beside(f".trial{part}").unlink(missing_ok=True)

    def _beside(self, ending: str) -> Path:
        return self._file.with_name(f"{self._file.name}{ending}")


def hand_over(coming: Path) -> None:
    """Let the folder's owner own a file that root has made there: the service runs as that user."""
    if os.geteuid() == 0:
        owner = coming.parent.stat()
        os.chown(coming, owner.st_uid, owner.st_gid)


def to_disk(path: Path) -> None:
    """Wait until a file, or what a folder lists, would outlast a power cut."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _read_through(file: Path) -> None:
    """Read every page of a file.

    Raises:
        Refused: it is damaged, or no database.
    """
    try:
        with closing(_open_to_read(file)) as connection:
            said = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    except sqlite3.DatabaseError as error:
        said = str(error)
    if said != "ok":
        raise Refused(f"{file} is damaged, or no backup ({' '.join(said.split())}): take another one.")


def _open_to_read(file: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)
