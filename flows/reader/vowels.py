"""Words typed without some of their vowels, known by their consonants: "nmechma", "pckd"."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

_VOWELS: Final = str.maketrans("", "", "aeiou")
# Fewer consonants are left of many words alike.
_FEWEST_CONSONANTS: Final = 4


def without_vowels(word: str) -> str | None:
    """Return the consonants of a word, None where they are too few to know it by."""
    bare = word.translate(_VOWELS)
    return bare if len(bare) >= _FEWEST_CONSONANTS else None


def by_consonants(words: Iterable[str]) -> Mapping[str, Sequence[str]]:
    """Return words by their consonants."""
    found: dict[str, list[str]] = {}
    for word in words:
        if (consonants := without_vowels(word)) is not None:
            found.setdefault(consonants, []).append(word)
    return found


def shortened(word: str, known: Mapping[str, Sequence[str]]) -> str | None:
    """Return the known word that `word` is with some of its vowels left out, or None."""
    return next(
        (whole for whole in known.get(without_vowels(word) or "", ()) if _is_within(word, whole)), None
    )


def _is_within(word: str, whole: str) -> bool:
    letters = iter(whole)
    return len(word) < len(whole) and all(letter in letters for letter in word)
