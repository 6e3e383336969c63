"""The settings file as people and `trussline setup` write it: settings are changed in place, all else stays."""

import json
import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from service.core.errors import SettingError

Value = str | int | float | bool | list[str]
_HEADER: Final = (
    "# Settings of this programme; the README explains each. Written by trussline setup, yours to edit.\n"
)


def read_settings_file(file: Path) -> dict[str, object]:
    """Return what a settings file says; nothing if there is none.

    Raises:
        SettingError: it cannot be read.
    """
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except PermissionError:
        # Another user's file is not to be corrected: told where commands start.
        raise
    except (OSError, ValueError) as error:
        raise SettingError(f"{file} cannot be read ({error}): correct it.") from error


def write_settings_file(file: Path, changes: Mapping[str, Value]) -> None:
    """Let a settings file say what `changes` say; other lines, also comments, stay. Only we may read it.

    Raises:
        SettingError: it cannot be written.
    """
    text = file.read_text(encoding="utf-8") if file.exists() else _HEADER
    for name, value in changes.items():
        # JSON's strings, numbers, truths and lists of them are TOML's as well.
        line = f"{name} = {json.dumps(value, ensure_ascii=False)}\n"
        said = re.compile(rf"^{re.escape(name)}[ \t]*=.*\n?", re.MULTILINE)
        found = said.search(text)
        text = text[: found.start()] + line + text[found.end() :] if found else text + line
    making = file.with_name(f"{file.name}.new")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        making.unlink(missing_ok=True)
        handle = os.open(making, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as made:
            made.write(text)
        making.replace(file)
    except OSError as error:
        raise SettingError(f"{file} cannot be written ({error.strerror}): choose another folder.") from error
