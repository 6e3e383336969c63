"""The key file: made once with mode 0600, outside the database and its backups.

Beside keys that were made lies an empty file until a database is sealed with them. A setup that was broken off is known
by it from a programme that has lost its database.
"""

import base64
import json
import os
import stat
from pathlib import Path

from service import ids
from service.core.errors import KeyFileError
from service.db.sealing import Seal

_KEY_BYTES = 32
_NAMES = ("sealing_key", "index_key")


def open_keys(path: Path) -> Seal:
    """Read the key file.

    Raises:
        KeyFileError: it is not there, is no key file, or is open to others.
    """
    if not path.exists():
        raise KeyFileError(
            f"There is no key file at {path}: put it back from your recovery sheet, with mode 600."
        )
    return _read(path)


def open_or_make(path: Path) -> tuple[Seal, bool]:
    """Read the key file, or make it.

    Returns:
        The keys, and whether they were made just now, so that the recovery sheet is printed once.

    Raises:
        KeyFileError: the file is no key file, is open to others, or cannot be made.
    """
    if path.exists():
        return open_keys(path), False
    made = {name: base64.b64encode(ids.key()).decode() for name in _NAMES}
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        _mark(path).touch(mode=0o600)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(made, file, indent=1)
    except OSError as error:
        raise KeyFileError(
            f"The key file {path} cannot be made ({error.strerror}): choose a folder you may write to."
        ) from error
    return _read(path), True


def unused(path: Path) -> bool:
    """Return whether no database was ever sealed with the keys that were made here."""
    return _mark(path).exists()


def take_into_use(path: Path) -> None:
    """Keep that a database is sealed with these keys."""
    _mark(path).unlink(missing_ok=True)


def _mark(path: Path) -> Path:
    return path.with_name(f"{path.name}.unused")


def _read(path: Path) -> Seal:
    if path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise KeyFileError(f"The key file {path} is open to other users: run chmod 600 on it.")
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        found = [base64.b64decode(kept[name], validate=True) for name in _NAMES]
    except PermissionError:
        # Another user's file is no broken one: told where commands start, with that user's name.
        raise
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise KeyFileError(
            f"{path} is no key file of this service: put back the right one from your recovery sheet."
        ) from error
    if any(len(key) != _KEY_BYTES for key in found):
        raise KeyFileError(
            f"A key in {path} has the wrong length: put back the right file from your recovery sheet."
        )
    return Seal(sealing_key=found[0], index_key=found[1])


def recovery_sheet(path: Path) -> str:
    """Return what a person is to print and lock away: with it and a backup, all numbers can be read again."""
    return (
        "Recovery sheet: print this and lock it away. Without these two keys no phone number in the\n"
        "database or in any backup of it can be read again. Who has them and a backup can read all.\n\n"
        f"{path.read_text(encoding='utf-8')}\n"
    )
