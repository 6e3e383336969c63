"""The key file: made once, private, and never taken for what it is not."""

import base64
import json
import stat
from pathlib import Path

import pytest

from service.core.errors import KeyFileError
from service.keys import open_or_make, recovery_sheet

# phonenumbers' example mobile number of Tanzania.
NUMBER = "+255621234567"


def test_keys_are_made_once(tmp_path: Path) -> None:
    """What the first keys sealed, the same file opens again; only the first time are they new."""
    first, made = open_or_make(tmp_path / "deep" / "keys.json")
    sealed = first.close(NUMBER)

    again, made_again = open_or_make(tmp_path / "deep" / "keys.json")

    assert (True, False) == (made, made_again)
    assert NUMBER == again.open(sealed)
    assert first.index(NUMBER) == again.index(NUMBER)


def test_two_files_hold_different_keys(tmp_path: Path) -> None:
    """Keys are random: one service's index says nothing about another's."""
    one, _ = open_or_make(tmp_path / "one.json")
    other, _ = open_or_make(tmp_path / "other.json")

    assert one.index(NUMBER) != other.index(NUMBER)


def test_nobody_else_may_read_them(tmp_path: Path) -> None:
    """The file is its owner's alone from the moment it is there."""
    file = tmp_path / "keys.json"
    open_or_make(file)

    assert 0o600 == stat.S_IMODE(file.stat().st_mode)


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o660], ids=oct)
def test_a_file_open_to_others_is_refused(tmp_path: Path, mode: int) -> None:
    """Keys that others could have read are not used before somebody has looked at it."""
    file = tmp_path / "keys.json"
    open_or_make(file)
    file.chmod(mode)

    with pytest.raises(KeyFileError, match="run chmod 600 on it"):
        open_or_make(file)


_KEY = base64.b64encode(b"k" * 32).decode()
BROKEN = {
    "empty": "",
    "no-json": "keys",
    "a-list": "[]",
    "one-missing": json.dumps({"sealing_key": _KEY}),
    "no-base64": json.dumps({"sealing_key": "%%%%", "index_key": _KEY}),
    "no-text": json.dumps({"sealing_key": 7, "index_key": _KEY}),
    "too-short": json.dumps({"sealing_key": _KEY, "index_key": base64.b64encode(b"k" * 16).decode()}),
}


@pytest.mark.parametrize("content", BROKEN.values(), ids=BROKEN)
def test_a_broken_file_is_never_replaced(tmp_path: Path, content: str) -> None:
    """New keys in its place would make every number unreadable for good: it asks for the right file instead."""
    file = tmp_path / "keys.json"
    file.write_text(content, encoding="utf-8")
    file.chmod(0o600)

    with pytest.raises(KeyFileError, match="recovery sheet"):
        open_or_make(file)

    assert content == file.read_text(encoding="utf-8")


def test_a_place_where_none_can_be_made_is_named(tmp_path: Path) -> None:
    """A file in the way of the folder is told in a sentence."""
    (tmp_path / "data").write_text("", encoding="utf-8")

    with pytest.raises(KeyFileError, match="choose a folder you may write to"):
        open_or_make(tmp_path / "data" / "keys.json")


def test_the_sheet_makes_the_file_again(tmp_path: Path) -> None:
    """What is printed and locked away is all that is needed, typed into a file once more."""
    seal, _ = open_or_make(tmp_path / "keys.json")
    sheet = recovery_sheet(tmp_path / "keys.json")

    typed = tmp_path / "typed.json"
    typed.write_text(sheet[sheet.index("{") : sheet.rindex("}") + 1], encoding="utf-8")
    typed.chmod(0o600)

    again, made = open_or_make(typed)
    assert not made
    assert NUMBER == again.open(seal.close(NUMBER))
