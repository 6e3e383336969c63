"""Backups of a database while it is written to, and putting one back; each engine has its own way."""

import os
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Final, Protocol

from sqlalchemy import Engine, func, select

from service.core.errors import KeyFileError, Refused
from service.db.copies_postgres import PostgresCopies
from service.db.copies_sqlite import SqliteCopies, to_disk
from service.db.migrate import versions
from service.db.tables import metadata


class Copies(Protocol):
    """Makes copies of one database and puts them back."""

    def make(self, file: Path) -> None:
        """Write a whole copy to `file`, which is there and empty; raises Refused where that fails."""
        ...

    def told_by(self, file: Path) -> Mapping[str, str]:
        """Return the settings that lie in a copy, and its version as `version`.

        Raises:
            Refused: it is damaged, or no copy of a database of this engine.
        """
        ...

    def put_back(self, file: Path) -> None:
        """Let the database be what the copy holds; if that fails it is as it was."""
        ...

    def holds_something(self) -> bool:
        """Return whether there is something that putting back would replace."""
        ...

    def trial(self) -> AbstractContextManager[Engine]:
        """Open an empty database for trying a copy, and be rid of it afterwards."""
        ...


_WAYS: Final[Mapping[str, Callable[[Engine, Path | None], Copies]]] = {
    "sqlite": lambda engine, _programs: SqliteCopies(engine),
    "postgresql": PostgresCopies,
}


def copies_of(engine: Engine, programs: Path | None) -> Copies:
    """Return the way of this database's engine; `programs` is the folder of PostgreSQL's, None for the PATH."""
    return _WAYS[engine.dialect.name](engine, programs)


def make_backup(copies: Copies, file: Path) -> None:
    """Write a backup that only we may read; it has its name only once it is whole and on disk.

    Raises:
        Refused: the file is there already, or cannot be written.
    """
    if file.exists():
        raise Refused(f"{file} is there already: name another file, or move it away.")
    making = file.with_name(f"{file.name}.part")
    try:
        making.unlink(missing_ok=True)
        os.close(os.open(making, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        copies.make(making)
        to_disk(making)
        making.rename(file)
        to_disk(file.parent)
    except OSError as error:
        raise Refused(
            f"The backup {file} cannot be written ({error.strerror}): name a folder you may write to, with room."
        ) from error
    finally:
        making.unlink(missing_ok=True)


def check_backup(copies: Copies, file: Path, mark: str) -> None:
    """See that a backup is whole, ours, and not of a later version than this one.

    Args:
        copies: the way of its engine.
        file: the backup.
        mark: that of the keys there are, see `service.db.sealing.Seal.mark`.

    Raises:
        Refused: it is not.
        KeyFileError: its numbers were sealed with other keys.
    """
    if not file.is_file():
        raise Refused(f"{file} is no file: name a backup that trussline backup has made.")
    told = copies.told_by(file)
    if "version" not in told:
        raise Refused(f"{file} is no backup of this service.")
    if told["version"] not in versions():
        raise Refused(
            f"{file} was made by a later version ({told['version']}): upgrade first, then restore it."
        )
    if told.get("keys") != mark:
        raise KeyFileError(
            f"{file} was made with other keys: put back the key file that belongs to it, from your recovery sheet."
        )


def count_rows(engine: Engine) -> dict[str, int]:
    """Return how many rows lie in each table of a database."""
    with engine.connect() as connection:
        return {
            table.name: connection.execute(select(func.count()).select_from(table)).scalar_one()
            for table in metadata.sorted_tables
        }
