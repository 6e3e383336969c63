"""Danger told in words that are harmless one by one: somebody has drunk what is sprayed, a snake has bitten.

A pair of word lists stands behind each kind of danger, see `Together`: what was done or is seen, and with what.
A word said together with its counterpart raises the alarm. What is missed here may cost a life and a false alarm
costs one text, so slips of the finger are forgiven and any person and tense counts.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Final, Protocol

from rapidfuzz.distance import OSA

from flows.alarms import Harm
from flows.reader.danger_pack import Together
from flows.reader.normalise import Token, key_of
from flows.reader.pack import Pack
from flows.reader.phrases import Phrases

_SHORTEST_NEAR: Final = 5


class _Known(Protocol):
    def __contains__(self, word: str, /) -> bool: ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Danger:
    """A danger found in a text: the harm, where its words begin and end, and their language."""

    harm: Harm
    start: int
    end: int
    language: str


class _Words:
    """Entries that mean the language they are said in, with one slip of the finger forgiven where that is wanted."""

    def __init__(self, entries: Iterable[tuple[str, str]], *, slips: bool) -> None:
        self._phrases = Phrases(entries)
        self._slips = slips

    @cached_property
    def _alike(self) -> Mapping[tuple[str, int], tuple[str, ...]]:
        """The words that a slip may be of, by their first letter and the length of what was typed."""
        found: dict[tuple[str, int], list[str]] = {}
        for word in self._phrases.words():
            if len(word) >= _SHORTEST_NEAR and self._is_whole(word):
                for length in (len(word) - 1, len(word), len(word) + 1):
                    found.setdefault((word[0], length), []).append(word)
        return {key: tuple(words) for key, words in found.items()}

    def _is_whole(self, word: str) -> bool:
        return word in self._phrases

    def places(self, tokens: Sequence[Token], ordinary: _Known) -> list[tuple[int, int, str]]:
        """Return where the entries stand, with their language; `ordinary` words are no slips."""
        found = []
        for place, token in enumerate(tokens):
            hit = self._phrases.at(tokens, place)
            if hit is None and self._slips and token.key not in ordinary:
                language = self._near(token.key)
                hit = (place + 1, language) if language else None
            if hit:
                found.append((place, hit[0], hit[1]))
        return found

    def _near(self, typed: str) -> str | None:
        if len(typed) < _SHORTEST_NEAR:
            return None
        near = (
            word
            for word in self._alike.get((typed[0], len(typed)), ())
            if OSA.distance(typed, word, score_cutoff=1) <= 1
        )
        known = next(near, None)
        return self._phrases.meaning(known) if known else None


@dataclass(frozen=True, kw_only=True)
class _Pair:
    harm: Harm
    acts: _Words
    things: _Words
    near: int
    over: Phrases[None] | None
    across: bool


class Dangers:
    """All pairs of words of all languages, the preferred language first."""

    def __init__(self, packs: Sequence[Pack]) -> None:
        """Join the pairs of `packs`: what was done may be said in one language, and with what in another."""
        names = dict.fromkeys(name for pack in packs for name in pack.danger.pairs)
        self._pairs = tuple(pair for name in names for pair in _of_name(packs, name))
        self._apart = _listed(packs, "apart")
        self._harmless = _listed(packs, "harmless")
        self._asking = _listed(packs, "asking")
        self._other = _listed(packs, "other")
        self._bodies = Phrases(
            (word, None)
            for pack in packs
            for word in (*pack.danger.somebody, *_bodies(pack), *pack.danger.body)
        )
        self._ordinary = frozenset(key_of(word) for pack in packs for word in pack.danger.ordinary)

    def first(self, tokens: Sequence[Token], known: _Known, harm: Harm) -> Danger | None:
        """Return the first danger of a kind of harm; `known` words are never taken for a slip of another."""
        spared = self._spared(tokens)
        ordinary = _Either(known, self._ordinary)
        pairs = (pair for pair in self._pairs if pair.harm is harm)
        return next((hit for pair in pairs if (hit := self._in(pair, tokens, spared, ordinary))), None)

    def nothing_happened(self, tokens: Sequence[Token]) -> bool:
        """Return whether a text says that it only asks."""
        return self._asking.first(tokens) is not None

    def of_other_things(self, tokens: Sequence[Token]) -> bool:
        """Return whether a word of harm in a text is about plants, pests, animals or prices, and about nobody."""
        return self._other.first(tokens) is not None and self._bodies.first(tokens) is None

    def _spared(self, tokens: Sequence[Token]) -> frozenset[int]:
        hits = ((place, self._harmless.at(tokens, place)) for place in range(len(tokens)))
        return frozenset(inner for place, hit in hits if hit for inner in range(place, hit[0]))

    def _in(
        self, pair: _Pair, tokens: Sequence[Token], spared: frozenset[int], ordinary: _Known
    ) -> Danger | None:
        things = pair.things.places(tokens, ordinary)
        if not things:
            return None
        for start, end, language in pair.acts.places(tokens, ordinary):
            for thing, behind, _ in things:
                first, last = (end, thing) if thing >= end else (behind, start)
                if (
                    start not in spared
                    and thing not in spared
                    and 0 <= last - first <= pair.near
                    and self._joined(pair, tokens[first:last])
                ):
                    return Danger(
                        harm=pair.harm, start=min(start, thing), end=max(end, behind), language=language
                    )
        return None

    def _joined(self, pair: _Pair, between: Sequence[Token]) -> bool:
        """Return whether what stands between two words lets them belong together."""
        if pair.over is not None:
            return all(token.key in pair.over for token in between)
        return pair.across or not any(token.key in self._apart for token in between)


@dataclass(frozen=True, slots=True)
class _Either:
    one: _Known
    other: _Known

    def __contains__(self, word: str, /) -> bool:
        return word in self.one or word in self.other


def _listed(packs: Sequence[Pack], name: str) -> Phrases[None]:
    return Phrases((entry, None) for pack in packs for entry in getattr(pack.danger, name))


def _of_name(packs: Sequence[Pack], name: str) -> Iterable[_Pair]:
    having = [(pack, pack.danger.pairs[name]) for pack in packs if name in pack.danger.pairs]
    things = [(thing, pack.language) for pack, pair in having for thing in _things(pack, pair)]
    over = [(word, None) for _, pair in having for word in pair.over]
    for pack, pair in having:
        acts = [(act, pack.language) for act in (*pair.acts, *_forms(pack, pair), *_sprayed(pack, pair))]
        yield _Pair(
            harm=pair.harm,
            acts=_Words(acts, slips=pair.slips),
            things=_Words(things, slips=True),
            near=pair.near,
            over=Phrases(over) if pair.over else None,
            across=pair.across,
        )


def _things(pack: Pack, pair: Together) -> tuple[str, ...]:
    sprayed = pack.danger.sprayed if pair.sprayed and not pair.bodies else ()
    return (*pair.things, *sprayed, *(_bodies(pack) if pair.bodies else ()))


def _sprayed(pack: Pack, pair: Together) -> tuple[str, ...]:
    return pack.danger.sprayed if pair.sprayed and pair.bodies else ()


def _bodies(pack: Pack) -> tuple[str, ...]:
    """Return the parts of a body, with their owners where the language names them in a word of its own."""
    danger = pack.danger
    if not danger.owners:
        return danger.body
    return tuple(map(" ".join, product(danger.owners, danger.body)))


def _forms(pack: Pack, pair: Together) -> Iterable[str]:
    """Return the verb forms of the pair's roots: a-me-kunywa, ka-i-meza."""
    danger = pack.danger
    persons = (*map("".join, product(danger.subjects, danger.tenses)), *danger.persons)
    return map("".join, product(persons, danger.objects, pair.roots))
