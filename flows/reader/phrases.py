"""Look-up of entries of one or several words in a row of tokens."""

from collections.abc import Iterable, Sequence
from typing import Generic, TypeVar

from flows.reader.normalise import Token, key_of

T = TypeVar("T")


class Phrases(Generic[T]):
    """Entries of one or several words, the longest that fits wins."""

    def __init__(self, entries: Iterable[tuple[str, T]]) -> None:
        """Take entries in order of preference: the first of two equal phrases stays."""
        self._meaning: dict[tuple[str, ...], T] = {}
        for phrase, meaning in entries:
            self._meaning.setdefault(tuple(map(key_of, phrase.split())), meaning)
        self._longest: dict[str, int] = {}
        for keys in self._meaning:
            self._longest[keys[0]] = max(len(keys), self._longest.get(keys[0], 0))

    def at(self, tokens: Sequence[Token], start: int) -> tuple[int, T] | None:
        """Return where the phrase that begins at `start` ends, and its meaning, or None."""
        if not 0 <= start < len(tokens):
            return None
        longest = self._longest.get(tokens[start].key)
        # Most words begin no phrase at all, and every word is looked up in many lists.
        if longest is None:
            return None
        for length in range(longest, 0, -1):
            keys = tuple(token.key for token in tokens[start : start + length])
            if keys in self._meaning:
                return start + len(keys), self._meaning[keys]
        return None

    def first(self, tokens: Sequence[Token]) -> tuple[int, int] | None:
        """Return where the first phrase anywhere in `tokens` begins and ends, or None."""
        return next(((i, hit[0]) for i in range(len(tokens)) if (hit := self.at(tokens, i))), None)

    def __contains__(self, key: str) -> bool:
        return (key,) in self._meaning

    def meaning(self, word: str) -> T:
        """Return the meaning of an entry of one word.

        Raises:
            KeyError: there is no such entry.
        """
        return self._meaning[word,]

    def words(self) -> frozenset[str]:
        """Return every single word that stands in some entry."""
        return frozenset(word for keys in self._meaning for word in keys)
