"""How many SMS a text costs: its alphabet, its length and its parts.

An SMS carries 140 octets. In the 7-bit alphabet that is 160 septets; one character outside it turns the whole
text into UCS-2, which has room for 70. A text of several parts gives up some octets of each to a header. The
count of parts is found by splitting, never by dividing: a character of two units is not cut, so a part may
stay short.

Sources: 3GPP TS 23.038 (alphabets) and TS 23.040 (user data, header of parts).
"""

import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, TypeAlias

from flows.gsm7_tables import CHARACTERS, EXTENSION, SUBSTITUTES

_OCTETS: Final = 140
# Octets of the header that numbers the parts, with the usual reference of 8 bits (TS 23.040, 9.2.3.24.1).
_HEADER: Final = 6
# The block "Combining Diacritical Marks": accents that stand as characters of their own behind a letter.
_FIRST_ACCENT: Final = "\u0300"
_LAST_ACCENT: Final = "\u036f"


class Alphabet(StrEnum):
    """The two alphabets a text can go out in."""

    GSM7 = "gsm7"
    UCS2 = "ucs2"


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """What a text uses, in units of its alphabet: septets, or the 16-bit units of UCS-2.

    Attributes:
        alphabet: the alphabet it goes out in.
        parts: how many SMS it costs.
        units: its whole length.
        left: how much more the last part can hold.
    """

    alphabet: Alphabet
    parts: int
    units: int
    left: int


def alphabet_of(text: str) -> Alphabet:
    """Return the alphabet `text` needs: one character outside GSM-7 is enough for UCS-2."""
    return Alphabet.GSM7 if CHARACTERS.issuperset(text) else Alphabet.UCS2


def culprits(text: str) -> tuple[str, ...]:
    """Return the characters that force `text` into UCS-2, each once, in the order they first stand there."""
    return tuple(char for char in dict.fromkeys(text) if char not in CHARACTERS)


def septets(text: str) -> int:
    """Return the length of `text` in septets; a character of the extension table counts two.

    Raises:
        ValueError: a character is not in the 7-bit alphabet.
    """
    if unfit := culprits(text):
        message = f"not in the 7-bit alphabet: {' '.join(map(ascii, unfit))}"
        raise ValueError(message)
    return _septets_unchecked(text)


def capacity(alphabet: Alphabet, *, of_several: bool = False) -> int:
    """Return how many units one part holds: septets in GSM-7, 16-bit units in UCS-2."""
    octets = _OCTETS - (_HEADER if of_several else 0)
    return octets * 8 // 7 if alphabet is Alphabet.GSM7 else octets // 2


def split(text: str) -> tuple[str, ...]:
    """Return the parts `text` is sent in, at least one; joined they are the text.

    No escape pair and no surrogate pair is cut, and no accent from its letter, unless the two alone outgrow a
    part.
    """
    alphabet = alphabet_of(text)
    measure, pieces = _WAYS[alphabet]
    if measure(text) <= capacity(alphabet):
        return (text,)
    limit = capacity(alphabet, of_several=True)
    return tuple(_filled(pieces(text, limit), measure, limit))


def parts(text: str) -> int:
    """Return how many SMS `text` costs."""
    return len(split(text))


def room(text: str) -> Room:
    """Return what `text` uses and what its last part has left."""
    alphabet = alphabet_of(text)
    measure, _ = _WAYS[alphabet]
    cut = split(text)
    return Room(
        alphabet=alphabet,
        parts=len(cut),
        units=measure(text),
        left=capacity(alphabet, of_several=len(cut) > 1) - measure(cut[-1]),
    )


def fold(text: str) -> str:
    """Return `text` with typographic marks and foreign accents put into GSM-7 where that says the same.

    Letters the alphabet has (é, ñ, ü ...) stay; letters it lacks lose their accent; what has no faithful
    substitute stays as it is and is found by `culprits`.
    """
    composed = unicodedata.normalize("NFC", text)
    return composed if alphabet_of(composed) is Alphabet.GSM7 else "".join(map(_folded, composed))


def clip(text: str, *, at_most: int) -> str:
    """Return the beginning of `text` that fits `at_most` septets, for quoting what somebody else wrote.

    White space is drawn together; a character with no substitute becomes a question mark, so that a quotation
    never makes a text dearer than its author reckoned with.
    """
    drawn_together = " ".join(fold(text).split())[:at_most]
    quoted = "".join(char if char in CHARACTERS else "?" for char in drawn_together)
    while septets(quoted) > at_most:
        quoted = quoted[:-1]
    return quoted.rstrip()


def _septets_unchecked(text: str) -> int:
    # Most texts have none of them, and that is seen far sooner than they are counted.
    if EXTENSION.isdisjoint(text):
        return len(text)
    return len(text) + sum(map(EXTENSION.__contains__, text))


def _units(text: str) -> int:
    # A lone surrogate, which a broken sender may have typed, is one unit like any other.
    return len(text.encode("utf-16-be", "surrogatepass")) // 2


def _clusters(text: str, limit: int) -> Iterator[str]:
    """Yield each letter with the accents that follow it; one too long for a part comes in pieces."""
    cluster = ""
    for char in text:
        if unicodedata.combining(char) and _units(cluster + char) <= limit:
            cluster += char
            continue
        if cluster:
            yield cluster
        cluster = char
    yield cluster


def _characters(text: str, _limit: int) -> Iterable[str]:
    return text


_Measure: TypeAlias = Callable[[str], int]
_Pieces: TypeAlias = Callable[[str, int], Iterable[str]]

# How a text of each alphabet is measured, and into what it may be cut.
_WAYS: Final[dict[Alphabet, tuple[_Measure, _Pieces]]] = {
    Alphabet.GSM7: (_septets_unchecked, _characters),
    Alphabet.UCS2: (_units, _clusters),
}


def _filled(pieces: Iterable[str], measure: _Measure, limit: int) -> Iterator[str]:
    part, used = "", 0
    for piece in pieces:
        size = measure(piece)
        if used + size > limit:
            yield part
            part, used = "", 0
        part += piece
        used += size
    yield part


def _folded(char: str) -> str:
    if char in CHARACTERS:
        return char
    if char in SUBSTITUTES:
        return SUBSTITUTES[char]
    if _FIRST_ACCENT <= char <= _LAST_ACCENT:
        return ""
    # Superscripts and fractions are numbers of their own: "10²" must not become "102".
    if unicodedata.category(char) == "No":
        return char
    bare = "".join(piece for piece in unicodedata.normalize("NFKD", char) if not unicodedata.combining(piece))
    return bare if bare and CHARACTERS.issuperset(bare) else char
