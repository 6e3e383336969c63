"""Where a programme begins, and where it has lost something: its database, its keys.

A new programme has neither. One that has a database without its keys, or keys and a send journal without a database,
is no new one: what was lost is put back, and nothing is made in its place unless a person says that it is meant so.
"""

from service.backups import newest_backup
from service.core.errors import KeyFileError, Refused
from service.db.engine import shown
from service.db.migrate import DamagedDatabase, is_there
from service.db.sealing import Seal
from service.keys import open_keys, open_or_make, unused
from service.settings import Settings


def keys_of(settings: Settings) -> tuple[Seal, bool]:
    """Return the programme's keys, and whether they were made just now.

    Raises:
        KeyFileError: there is no key file although a database is there, or it cannot be used.
        SettingError: the database cannot be looked for.
    """
    if settings.keys.exists():
        return open_keys(settings.keys), False
    if _has_database(settings):
        raise KeyFileError(
            f"The key file {settings.keys} is not there, and nothing else reads the numbers in the database "
            f"{shown(settings.database)}: put it back from your recovery sheet, with mode 600, or correct key_file."
        )
    return open_or_make(settings.keys)


def refuse_without_keys(settings: Settings) -> None:
    """Refuse a command that needs a programme where its keys are not; a wrong place is found so, too.

    Raises:
        KeyFileError: the keys are lost.
        Refused: no programme has begun here.
    """
    if settings.keys.exists():
        return
    if _has_journal(settings):
        raise KeyFileError(
            f"The key file {settings.keys} is not there, and {settings.journal} shows that this programme had one: "
            "put it back from your recovery sheet, with mode 600, or correct key_file."
        )
    if not _has_database(settings):
        raise Refused(no_database(settings))
    keys_of(settings)


def no_database(settings: Settings) -> str:
    """Say that there is no database, and what to do: begin, or put back what was lost."""
    return _lost(settings) or (
        f"There is no database of this service at {shown(settings.database)} yet: run trussline setup, or "
        "trussline migrate where the settings are right; else correct TRUSSLINE_FILE."
    )


def why_not_new(settings: Settings) -> str | None:
    """Say why no new database should be made without asking a person; None if nothing is in the way of it.

    Raises:
        SettingError: the database cannot be looked for.
    """
    return None if _has_database(settings) else _lost(settings)


def _lost(settings: Settings) -> str | None:
    traces = [
        f"its {what} at {where}"
        for what, where, is_a_trace in (
            ("keys", settings.keys, settings.keys.exists() and not unused(settings.keys)),
            ("send journal", settings.journal, _has_journal(settings)),
        )
        if is_a_trace
    ]
    if not traces:
        return None
    newest = newest_backup(settings.journal)
    found = (
        f"The newest backup is {newest.file}, of {newest.at:%Y-%m-%d %H:%M} UTC: put it back with "
        f"trussline restore {newest.file}."
        if newest
        else "No backup is known here: put one back with trussline restore FILE."
    )
    return (
        f"This programme had a database at {shown(settings.database)}, by {' and '.join(traces)}, "
        f"and it is there no more. {found} "
        "If it lies elsewhere, correct database_url or data_dir; only if the programme is meant to be new and empty: "
        "trussline setup --new, or trussline migrate --new."
    )


def _has_database(settings: Settings) -> bool:
    try:
        return is_there(settings.database)
    except DamagedDatabase:
        return True


def _has_journal(settings: Settings) -> bool:
    # A folder alone says nothing: it may be a disk of its own that was prepared for it.
    return settings.journal.is_dir() and any(settings.journal.iterdir())
