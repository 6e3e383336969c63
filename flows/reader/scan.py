"""A text taken apart once: its days, its amounts, and the words that are left to mean something."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Final

from flows.reader.amounts import Amount, amounts
from flows.reader.date_patterns import find_dates
from flows.reader.dates import Said
from flows.reader.glued import parted
from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Kind, Token, plain, shown, tokens
from flows.reader.phrases import Phrases

# A minus stands behind a space and right before a figure, or alone before it: "27-11" has none.
_BELOW_ZERO: Final = re.compile(r"(?:^|\s)-\s?[.,]?\d")


@dataclass(frozen=True, kw_only=True)
class Scan:
    """What stands in a text.

    Attributes:
        shown: the text as it may be stored and shown.
        plain: the text the tokens were cut from.
        tokens: its tokens.
        days: days that can be nothing else.
        weak_days: days that may as well be a number or an ordinary word.
        amounts: numbers outside `days`.
        content: places of the words that are neither greeting, day, number, unit nor function word.
        question: whether it reads like a question.
        lexicon: the tables it was read with.
        today: the local day.
    """

    shown: str
    plain: str
    tokens: tuple[Token, ...]
    days: tuple[Said, ...]
    weak_days: tuple[Said, ...]
    amounts: tuple[Amount, ...]
    content: tuple[int, ...]
    question: bool
    lexicon: Lexicon
    today: date

    def word(self, place: int) -> str:
        """Return the compared form of the token at `place`."""
        return self.tokens[place].key

    @property
    def below_zero(self) -> bool:
        """Whether a number is said with a minus: "vuna -5" may be a dash or a slip."""
        return _BELOW_ZERO.search(self.plain) is not None or self.has(self.lexicon.below)

    def has(self, phrases: Phrases[None], *, start: int = 0) -> bool:
        """Return whether one of `phrases` stands at or behind `start`."""
        return phrases.first(self.tokens[start:]) is not None


def scan(text: str, lexicon: Lexicon, today: date) -> Scan:
    """Take `text` apart; never raises."""
    printable = shown(text)
    simple = plain(printable)
    row = parted(tokens(simple), lexicon)
    greeted = places_of(row, lexicon.greetings) | places_of(row, lexicon.thanks)
    said = find_dates(row, lexicon, today)
    days = tuple(day for day in said if not day.weak)
    dated = {place for day in days for place in range(day.start, day.end)}
    numbers = amounts(row, lexicon, dated)
    counted = {place for amount in numbers for place in range(amount.start, amount.end)}
    units = {place for place in range(len(row)) if lexicon.units.at(row, place)}
    empty = (
        greeted
        | dated
        | counted
        | units
        | places_of(row, lexicon.function)
        | places_of(row, lexicon.introductions)
    )
    words = (place for place, token in enumerate(row) if token.kind is Kind.WORD)
    return Scan(
        shown=printable,
        plain=simple,
        tokens=row,
        days=days,
        weak_days=tuple(day for day in said if day.weak),
        amounts=numbers,
        content=tuple(place for place in words if place not in empty),
        question=any(token.kind is Kind.QUESTION for token in row)
        or lexicon.questions.first(row) is not None,
        lexicon=lexicon,
        today=today,
    )


def places_of(row: tuple[Token, ...], phrases: Phrases[None]) -> frozenset[int]:
    """Return every place of a text that one of `phrases` covers."""
    return frozenset(_places(row, phrases))


def _places(row: tuple[Token, ...], phrases: Phrases[None]) -> Iterable[int]:
    place = 0
    while place < len(row):
        hit = phrases.at(row, place)
        end = hit[0] if hit else place + 1
        yield from range(place, end) if hit else ()
        place = end
