"""From the bytes of a keypad to tokens: what is typed in many ways becomes one.

Two texts come of a message. `shown` is what a person may be shown again: as typed, less what cannot be stored
or printed. `tokens` is what the rules read: letters parted from digits, full-width and other digits made
ASCII, typographic marks made plain, a letter o beside a digit taken for the zero it was meant to be, a zero
between letters for an o.
Nothing here raises, whatever is typed.
"""

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

# Ten SMS parts of 160: longer than anything a keypad sends, short enough that reading stays quick.
LONGEST: Final = 1600

_DROPPED: Final = frozenset({"Cc", "Cf", "Cs"})  # control, direction and joining marks, halves of a character
_MARKS: Final = str.maketrans(
    {
        "’": "'",
        "‘": "'",
        "ʼ": "'",
        "`": "'",
        "´": "'",
        "“": '"',
        "”": '"',
        "–": "-",
        "—": "-",
        "−": "-",
        "‐": "-",
    }
)
_O_FOR_ZERO: Final = re.compile(
    r"(?<=\d)[oO]+(?=\d|\W|_|$|kg|g\b)"  # 1o, 4oo, 1okg
    r"|(?<![^\W_])[oO]+(?=[.,]?\d)"  # o.5, o7
)
_ZERO_FOR_O: Final = re.compile(r"(?<=[^\W\d_])0(?=[^\W\d_])")  # st0p, d0ne
# "l2 kg", "2l kg", "14 . 5 kg": only where a kilo follows, since a letter may name a row and a full stop end a sentence.
_L_FOR_ONE: Final = re.compile(
    r"(?<![^\W_])[lI](?=\d{1,2}(?:[.,]\d+)?\s?(?:kg|kilo))|(?<=\d)[lI](?=\s?(?:kg|kilo))"
)
_APART: Final = re.compile(r"(?<=\d) \. ?(?=\d{1,3}\s?(?:kg|kilo))|(?<=\d)\. (?=\d{1,3}\s?(?:kg|kilo))")
_TOKEN: Final = re.compile(
    r"""
    (?P<day>(?<![\d/.\-])\d{1,4}([/.\-])\d{1,2}\2\d{1,4}(?!\d))
    |(?P<pair>(?<![\d/.,\-])\d{1,4}[/\-]\d{1,4}(?![\d/]))
    |(?P<digits>(?<![\w.,])[.,]\d+|\d+(?:[.,]\d+)*)
    |(?P<word>[^\W\d_]+(?:'[^\W\d_]+)*)
    |(?P<question>[?؟])
    """,
    re.VERBOSE,
)


class Kind(StrEnum):
    """What a token is made of; the names are the groups of the token pattern."""

    DAY = "day"  # 12/10/2026
    PAIR = "pair"  # 12/10, 1/2, 10-12
    DIGITS = "digits"  # 12, 12.5, 1,250
    WORD = "word"
    QUESTION = "question"


@dataclass(frozen=True, kw_only=True, slots=True)
class Token:
    """One piece of a text.

    Attributes:
        kind: what it is made of.
        key: the form rules compare: small letters without accents and apostrophes.
        raw: as typed.
        end: where it ends in the plain text.
    """

    kind: Kind
    key: str
    raw: str
    end: int


def shown(text: str) -> str:
    """Return `text` as it may be stored and shown: printable, single-spaced, at most `LONGEST` characters."""
    spaced = "".join(" " if char.isspace() else char for char in text[:LONGEST])
    return " ".join("".join(char for char in spaced if unicodedata.category(char) not in _DROPPED).split())


def plain(text: str) -> str:
    """Return `text` in the characters the rules know; its words still stand as typed."""
    simple = "".join(map(_simple, text.translate(_MARKS)))
    composed = unicodedata.normalize("NFKC", simple).replace("\N{FRACTION SLASH}", "/")
    # A mark that found no letter to join would cut the word it stands in.
    whole = "".join(char for char in composed[:LONGEST] if not unicodedata.combining(char))
    figures = _O_FOR_ZERO.sub(lambda found: "0" * len(found[0]), _ZERO_FOR_O.sub("o", whole))
    return _APART.sub(".", _L_FOR_ONE.sub("1", figures))


def key_of(word: str) -> str:
    """Return the form in which words are compared: casefolded, without accents and apostrophes."""
    if word.isascii():
        # The same, in a fraction of the time: most words are, and the lists hold many thousands.
        return word.lower().replace("'", "")
    parted = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", word).casefold())
    return "".join(char for char in parted if char not in "'’" and not unicodedata.combining(char))


def tokens(text: str) -> tuple[Token, ...]:
    """Return the tokens of a plain text; signs that mean nothing to any rule fall away."""
    return tuple(
        Token(kind=Kind(str(found.lastgroup)), key=key_of(found[0]), raw=found[0], end=found.end())
        for found in _TOKEN.finditer(text)
    )


def _simple(char: str) -> str:
    """Return one character with digits of any script in ASCII and ½ as a spaced 1/2."""
    if char.isascii():
        return char
    if char.isdecimal():
        return str(unicodedata.decimal(char))
    kind, *parts = unicodedata.decomposition(char).split() or [""]
    if kind == "<fraction>":
        # Without the space NFKC would make 121/2 of 12½.
        return " " + "".join(chr(int(part, 16)) for part in parts) + " "
    return char
