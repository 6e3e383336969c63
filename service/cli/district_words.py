"""Districts as an administrator types them: names with their metres above the sea, in one line or several."""

import re
from typing import Final

from flows.wording import of_district
from service.use_cases.districts import LONGEST_NAME, compared
from service.use_cases.names_in_texts import told_of_name

LOWEST: Final = -400
HIGHEST: Final = 6000
_BREAK_OFF: Final = "To write it otherwise, press Ctrl-C now: nothing is written yet."
_BETWEEN: Final = re.compile(r"[,;\n]")
# 2,150 m is one figure and no list: a name never begins with a figure.
_THOUSANDS: Final = re.compile(r"(?<=\d),(?=\d{3}(?!\d))")
_DISTRICT: Final = re.compile(
    r"(?P<name>[^\W\d_][^\d,;]*?)(?:\s+(?:at\s+)?(?P<metres>-?\d+)\s*(?:m|metres|meters)?)?\.?", re.IGNORECASE
)


def read_districts(typed: str) -> list[str]:
    """Read districts; each comes back as `read_district` reads it.

    Raises:
        ValueError: one of them does not fit, or is named twice.
    """
    pieces = [piece.strip() for piece in _BETWEEN.split(_THOUSANDS.sub("", typed)) if piece.strip()]
    found = [read_district(piece) for piece in pieces]
    names = [compared(name) for name, _ in found]
    twice = sorted({name for name, _ in found if names.count(compared(name)) > 1})
    if twice:
        raise ValueError(f"{twice[0]} is named twice")
    return [name if metres is None else f"{name} {metres}" for name, metres in found]


def read_district(word: str) -> tuple[str, int | None]:
    """Read a district's name and its metres above the sea.

    Raises:
        ValueError: it is no name with a figure behind it, or one that cannot be.
    """
    found = _DISTRICT.fullmatch(word.strip())
    if found is None:
        raise ValueError(f"write a district's name, then its metres above the sea, and not {word.strip()!r}")
    name = " ".join(found["name"].split())
    if len(name) > LONGEST_NAME:
        raise ValueError(f"{name!r} has more than {LONGEST_NAME} letters, and it stands in texts to farmers")
    metres = None if found["metres"] is None else int(found["metres"])
    if metres is not None and not LOWEST <= metres <= HIGHEST:
        raise ValueError(f"{metres} is no height above the sea in metres")
    return name, metres


def told_districts(words: list[str]) -> str:
    """Say what was understood."""
    found = [read_district(word) for word in words]
    heights = "; ".join(
        f"{name}, height unknown" if metres is None else f"{name}, {metres} m" for name, metres in found
    )
    strange = (told_of_name(name, of_district, then=_BREAK_OFF) for name, _ in found)
    return ". ".join((heights, *(told for told in strange if told)))
