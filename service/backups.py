"""Which backups have been made: kept beside the send journal, to be found when the database cannot be opened."""

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from service.core.errors import Refused

_FILE: Final = "backups.jsonl"


@dataclass(frozen=True, kw_only=True, slots=True)
class Backup:
    """A backup: where it lies and when it was made, in real time."""

    file: Path
    at: datetime


def note_backup(folder: Path, backup: Backup) -> None:
    """Keep that a backup was made.

    Raises:
        Refused: that cannot be written; the backup is there.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with (folder / _FILE).open("a", encoding="utf-8") as file:
            file.write(json.dumps({"file": str(backup.file.absolute()), "at": backup.at.isoformat()}) + "\n")
    except OSError as error:
        raise Refused(
            f"The backup {backup.file} is whole, but {folder / _FILE} cannot be written ({error.strerror}): "
            "give that folder back to the user the service runs as, and run this command as that user."
        ) from error


def newest_backup(folder: Path) -> Backup | None:
    """Return the newest backup that is still where it was written; None if there is none."""
    try:
        lines = (folder / _FILE).read_text(encoding="utf-8").splitlines()
    except OSError:
        # Not there, or not ours to read: the advice does without it.
        return None
    known = (json.loads(line) for line in reversed(lines))
    made = (Backup(file=Path(one["file"]), at=datetime.fromisoformat(one["at"])) for one in known)
    return next((backup for backup in made if backup.file.exists()), None)


def restore_advice(folder: Path) -> str:
    """Say which backup to put back in place of a damaged database."""
    newest = newest_backup(folder)
    if newest is None:
        return (
            "Stop everything and put back a backup with trussline restore FILE --force; none is known here."
        )
    return (
        f"Stop everything and put back the newest backup, of {newest.at:%Y-%m-%d %H:%M} UTC: "
        f"trussline restore {newest.file} --force"
    )
