"""What a password must be: long enough, and none that is tried first. Nothing is asked of its letters.

Lengths and the missing rules about kinds of letters follow OWASP ASVS 5.0.0, 6.2.1 to 6.2.12; a password is taken as
typed but for one thing: letters that look the same are one (Unicode NFC), whatever the keyboard made of them.
"""

import unicodedata
from collections.abc import Iterable
from typing import Final

SHORTEST: Final = 12
ADVISED: Final = 15
LONGEST: Final = 128
# With fewer different characters a password is a pattern, and patterns are tried first.
_FEWEST_DIFFERENT: Final = 5
# What must be left of a password when the words anybody can read on the page are taken out of it.
_LEAST_BESIDE_NAMES: Final = 8
_SHORTEST_NAME: Final = 4


def normal(password: str) -> str:
    """Return a password in the one form in which it is hashed."""
    return unicodedata.normalize("NFC", password)


def what_is_wrong(password: str, *, common: frozenset[str], names: Iterable[str]) -> str | None:
    """Return in one sentence why a password cannot be taken, None if it can.

    Args:
        password: as typed.
        common: passwords that are tried first, in small letters.
        names: what can be guessed about this officer: their name, the programme's.
    """
    plain = normal(password)
    if len(plain) < SHORTEST:
        return (
            f"A password has at least {SHORTEST} characters; {ADVISED} or more are better, like four words."
        )
    if len(plain) > LONGEST:
        return f"A password has at most {LONGEST} characters."
    small = "".join(plain.casefold().split())
    if small in common or len(set(small)) < _FEWEST_DIFFERENT:
        return "That password is among the first that are tried: choose another, like four words."
    if len(_without(small, names)) < _LEAST_BESIDE_NAMES:
        return "That password is mostly a name that everybody here can see: choose another, like four words."
    return None


def _without(small: str, names: Iterable[str]) -> str:
    words = (word for name in names for word in name.casefold().split())
    for word in sorted(words, key=len, reverse=True):
        if len(word) >= _SHORTEST_NAME:
            small = small.replace(word, "")
    return small
