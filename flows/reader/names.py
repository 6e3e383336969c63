"""Names of people, which may be any word: a number (Tatu, Baraka Mia), a weekday (Sunday) or a month (June)."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from flows.reader.amounts import amounts
from flows.reader.normalise import Kind
from flows.reader.number_words import said
from flows.reader.scan import Scan
from flows.titles import TITLES

# Words of a name behind JOIN, titles aside, and of a text that may still be nothing but a name.
_NAME_WORDS: Final = 2
_LONGEST_ANSWER: Final = 3
_LONGEST_NAME_WORD: Final = 20


def name_answered(scan: Scan, *, taken: frozenset[int]) -> str | None:
    """Return the name that a text is when a name was asked, kept whole; None where it looks like something else.

    Args:
        scan: the text taken apart.
        taken: places of a district that is named along with it.
    """
    introduced = scan.lexicon.introductions.first(scan.tokens)
    start = introduced[1] if introduced else _behind_greeting(scan)
    places = _trimmed(scan, [place for place in range(start, len(scan.tokens)) if place not in taken])
    if not places or scan.question or len(places) > _LONGEST_ANSWER + _titles(scan, places):
        return None
    words = [scan.tokens[place] for place in places]
    plain = all(word.kind is Kind.WORD for word in words)
    joined = any(word.key in scan.lexicon.joiners for word in words)
    if not plain or joined or any(_means_something(scan, place) for place in places):
        return None
    return _spelt(scan, places)


def _behind_greeting(scan: Scan) -> int:
    """Return where the text goes on behind a greeting that is no title, 0 where it is only greeting."""
    start = 0
    while start < len(scan.tokens) and scan.word(start) not in TITLES:
        hit = scan.lexicon.greetings.at(scan.tokens, start)
        if hit is None:
            return start
        start = hit[0]
    return start


def _trimmed(scan: Scan, places: Sequence[int]) -> list[int]:
    """Return the places without small words before and behind: "mimi ni Asha hapa"."""
    kept = list(places)
    while kept and scan.word(kept[0]) in scan.lexicon.function:
        kept.pop(0)
    while kept and scan.word(kept[-1]) in scan.lexicon.function:
        kept.pop()
    return kept


def _titles(scan: Scan, places: Iterable[int]) -> int:
    return sum(scan.word(place) in TITLES for place in places)


def _means_something(scan: Scan, place: int) -> bool:
    """Return whether a word is no part of a name: a command, a negation, "today" or "months"."""
    word, time = scan.word(place), scan.lexicon.time
    reckoned = any(words.at(scan.tokens, place) for words in (time.days, time.weeks, time.periods))
    return reckoned or word in scan.lexicon.commands or word in scan.lexicon.negations


def name_behind(scan: Scan, start: int, *, taken: frozenset[int]) -> tuple[str | None, frozenset[int]]:
    """Return the name that stands in a joining at or behind `start`, and the places of its words.

    Args:
        scan: the text taken apart.
        start: the place behind the word for joining.
        taken: places of the district.
    """
    introduced = scan.lexicon.introductions.first(scan.tokens)
    begin = max(start, introduced[1]) if introduced else start
    places = list(_run(scan, begin, taken))
    return _spelt(scan, places), frozenset(places)


def _run(scan: Scan, start: int, taken: frozenset[int]) -> Iterator[int]:
    """Return the places of the first words that can be a name, at most two and the titles before them."""
    words = 0
    for place in range(start, len(scan.tokens)):
        title = scan.word(place) in TITLES and place + 1 < len(scan.tokens) and not words
        if title and scan.tokens[place + 1].kind is Kind.WORD and place + 1 not in taken:
            yield place
        elif place not in taken and _names(scan, place, first=not words, asked_at=start):
            words += 1
            yield place
        elif words:
            return
        if words == _NAME_WORDS:
            return


def _names(scan: Scan, place: int, *, first: bool, asked_at: int) -> bool:
    """Return whether a word can be part of a name: it means nothing else, or what else it means is told besides."""
    token = scan.tokens[place]
    if token.kind is not Kind.WORD or token.key in scan.lexicon.plants:
        return False
    leads = first and (place == asked_at or (place == asked_at + 1 and scan.word(asked_at) in TITLES))
    time = scan.lexicon.time
    if time.weekdays.at(scan.tokens, place) or _alone_as_month(scan, place):
        return leads or any(not _covers_only(day.start, day.end, place) for day in scan.days)
    if any(said([token], 0, words) for words in scan.lexicon.numbers):
        return (leads or not first) and _figures_follow(scan, place)
    return place in scan.content


def _alone_as_month(scan: Scan, place: int) -> bool:
    alone = any(_covers_only(day.start, day.end, place) for day in (*scan.days, *scan.weak_days))
    return alone and scan.lexicon.time.months.at(scan.tokens, place) is not None


def _covers_only(start: int, end: int, place: int) -> bool:
    return (start, end) == (place, place + 1)


def _figures_follow(scan: Scan, place: int) -> bool:
    """Return whether a count in figures follows that is no part of a day: then the word before it counts nothing."""
    dated = {taken for day in scan.days for taken in range(day.start, day.end)}
    rest = range(place + 1, len(scan.tokens))
    return any(scan.tokens[one].kind is Kind.DIGITS and one not in dated for one in rest)


def without(scan: Scan, places: frozenset[int]) -> Scan:
    """Return the text as if the words at `places` were neither days nor numbers."""
    days = tuple(day for day in scan.days if not places.intersection(range(day.start, day.end)))
    weak = tuple(day for day in scan.weak_days if not places.intersection(range(day.start, day.end)))
    dated = {place for day in days for place in range(day.start, day.end)}
    counted = amounts(scan.tokens, scan.lexicon, dated | places)
    return replace(scan, days=days, weak_days=weak, amounts=counted)


def _spelt(scan: Scan, places: Sequence[int]) -> str | None:
    """Return the words at `places` as a name, capitals set where none were typed or nothing else."""
    words = [scan.tokens[place].raw for place in places]
    if not words or any(len(word) > _LONGEST_NAME_WORD for word in words):
        return None
    return " ".join(word.capitalize() if word.islower() or word.isupper() else word for word in words)
