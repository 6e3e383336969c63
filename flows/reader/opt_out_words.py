"""Finding the words of a wish for no more texts in a text, whatever their language and however they are typed."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from rapidfuzz.distance import OSA

from flows.reader.normalise import Token, key_of
from flows.reader.opt_out_pack import Part
from flows.reader.pack import Intent, Pack
from flows.reader.phrases import Phrases

# A slip of the finger is forgiven in long words only: "shop" is one letter from "stop".
_SHORTEST_SLIP: Final = 7
_LONGEST_SLIP: Final = 16
# The first letters of a verb say who does it, and whether it is denied: "msiache" is far from "mniache".
_SAME: Final = 3
_REPEATED: Final = re.compile(r"(.)\1+")
# Two of a letter may be another word ("stoop"), three are a word drawn out.
_DRAWN_OUT: Final = re.compile(r"(.)\1\1")
_SLIPPING: Final = frozenset({Part.WHOLE, Part.END, Part.OURS, Part.REFUSE})


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """Words of a text that have a part in such a wish; `language` is theirs."""

    start: int
    end: int
    parts: frozenset[Part]
    language: str


Meaning = tuple[frozenset[Part], str]


class OptOutWords:
    """The words of all languages, the preferred language first."""

    def __init__(self, packs: Sequence[Pack]) -> None:
        """Join the words of `packs`: a word may have several parts."""
        parts: dict[str, set[Part]] = {}
        languages: dict[str, str] = {}
        for pack in packs:
            commands = ((word, Part.END) for word in (*pack.commands[Intent.STOP], *pack.stop.misspelt))
            for entry, part in (*pack.opting_out.entries(), *commands):
                key = " ".join(map(key_of, entry.split()))
                parts.setdefault(key, set()).add(part)
                languages.setdefault(key, pack.language)
        meanings: dict[str, Meaning] = {
            key: (frozenset(found), languages[key]) for key, found in parts.items()
        }
        self._phrases = Phrases(meanings.items())
        self._squeezed: dict[str, Meaning] = {}
        for key, meaning in meanings.items():
            if " " not in key and meaning[0] & _SLIPPING:
                self._squeezed.setdefault(_squeezed(key), meaning)
        self._never = frozenset(key_of(word) for pack in packs for word in pack.opting_out.slips)
        self._long = {
            key: meaning
            for key, meaning in meanings.items()
            if " " not in key and len(key) >= _SHORTEST_SLIP and meaning[0] & _SLIPPING
        }

    def spans(self, tokens: Sequence[Token], *, content: Iterable[int]) -> tuple[Span, ...]:
        """Return the spans of a text from left to right; only a word of `content` is taken for a slip of one."""
        spans: list[Span] = []
        meant = frozenset(content)
        place = 0
        while place < len(tokens):
            hit = self._phrases.at(tokens, place)
            if hit is None and place in meant:
                near = self._near(tokens[place].key)
                hit = (place + 1, near) if near else None
            if hit:
                end, (parts, language) = hit
                spans.append(Span(start=place, end=end, parts=parts, language=language))
            place = hit[0] if hit else place + 1
        return tuple(spans)

    def _near(self, typed: str) -> Meaning | None:
        """Return what a word means that is drawn out ("stoooop") or one slip away from a long one."""
        if typed in self._never:
            return None
        if _DRAWN_OUT.search(typed) and (meant := self._squeezed.get(_squeezed(typed))):
            return meant
        if not _SHORTEST_SLIP <= len(typed) <= _LONGEST_SLIP:
            return None
        known = next(
            (
                word
                for word in self._by_letter.get(typed[0], ())
                if word[:_SAME] == typed[:_SAME] and OSA.distance(typed, word, score_cutoff=1) <= 1
            ),
            None,
        )
        return self._long[known] if known else None

    @cached_property
    def _by_letter(self) -> dict[str, tuple[str, ...]]:
        letters = {word[0] for word in self._long}
        return {letter: tuple(word for word in self._long if word[0] == letter) for letter in letters}


def _squeezed(word: str) -> str:
    """Return a word with each run of one letter as a single letter."""
    return _REPEATED.sub(r"\1", word)
