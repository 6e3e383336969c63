"""Numbers as they are said: twelve, two hundred and fifty, mia mbili na hamsini.

Read below 100,000 only: above, the order of Swahili words no longer tells what is multiplied. Below, one
doubt is left: "elfu kumi na mbili" is 12,000 and also 10,002; the second reading is kept.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from flows.reader.normalise import Token
from flows.reader.pack import NumberWords

_TEN: Final = 10
_HUNDRED: Final = 100
_THOUSAND: Final = 1000
_MOST_DECIMALS: Final = 6


@dataclass(frozen=True, kw_only=True, slots=True)
class Spoken:
    """A number and where it ends.

    Attributes:
        value: the likelier reading.
        end: the place of the first token after it.
        other: a second reading, or None.
    """

    value: Decimal
    end: int
    other: Decimal | None = None


def said(tokens: Sequence[Token], start: int, words: NumberWords) -> Spoken | None:
    """Return the number said in the words of one language from `start` on, or None."""
    cursor = _Cursor(tokens, start, words)
    grammar = _scale_first if words.scale_first else _scale_last
    value = grammar(cursor)
    if value is None:
        return None
    decimals = cursor.decimals()
    other = None if decimals or cursor.other is None else Decimal(cursor.other)
    return Spoken(
        value=Decimal(f"{value}.{decimals or 0}") if decimals else Decimal(value),
        other=other,
        end=cursor.place,
    )


class _Cursor:
    """A place in the tokens that moves only over what was understood."""

    def __init__(self, tokens: Sequence[Token], place: int, words: NumberWords) -> None:
        self.place = place
        self.other: int | None = None
        self.words = words
        self._tokens = tokens

    def key(self, ahead: int = 0) -> str:
        """Return the word `ahead` of the place, '' behind the end."""
        place = self.place + ahead
        return self._tokens[place].key if place < len(self._tokens) else ""

    def take(self, table: Mapping[str, int]) -> int | None:
        """Move over the word here when `table` has it and return its value."""
        value = table.get(self.key())
        self.place += value is not None
        return value

    def scale(self, scale: int, *, ahead: int = 0) -> bool:
        """Return whether the word `ahead` is this scale; the word here is moved over."""
        hit = self.words.scales.get(self.key(ahead)) == scale
        self.place += hit and not ahead
        return hit

    def count(self, below: int) -> int | None:
        """Move over whole digits between 0 and `below` ("elfu 2") and return them."""
        key = self.key()
        if not key.isdecimal() or len(key) > len(str(below)) or not 0 < int(key) < below:
            return None
        self.place += 1
        return int(key)

    def rest(self, grammar: "Grammar") -> int:
        """Move over a smaller number that follows, joined or not, and return it, 0 when none does."""
        start = self.place
        self.place += self.key() in self.words.joiners
        value = grammar(self)
        if value is None:
            self.place = start
        return value or 0

    def decimals(self) -> str:
        """Move over a decimal point and the figures said behind it; return them, '' when there are none."""
        if self.key() not in self.words.points:
            return ""
        figures: list[int] = []
        while (figure := self.words.ones.get(self.key(len(figures) + 1), _TEN)) < _TEN:
            figures.append(figure)
        self.place += len(figures) + 1 if figures else 0
        return "".join(map(str, figures))[:_MOST_DECIMALS]


Grammar = Callable[[_Cursor], int | None]


def _scale_last(cursor: _Cursor) -> int | None:
    """Read "one thousand two hundred and fifty": the scale stands behind what it multiplies."""
    count = _multiplier(cursor, _THOUSAND) or _hundreds_last(cursor)
    if count and cursor.scale(_THOUSAND):
        return count * _THOUSAND + cursor.rest(_hundreds_last)
    return count


def _hundreds_last(cursor: _Cursor) -> int | None:
    count = _multiplier(cursor, _HUNDRED)
    if count is None:
        count = _tens_last(cursor)
    if count and cursor.scale(_HUNDRED):
        return count * _HUNDRED + cursor.rest(_tens_last)
    return count


def _tens_last(cursor: _Cursor) -> int | None:
    ten = cursor.take(cursor.words.tens)
    if ten is None:
        return cursor.take(cursor.words.ones)
    figure = cursor.words.ones.get(cursor.key(), 0)
    if 0 < figure < _TEN:
        cursor.place += 1
        return ten + figure
    return ten


def _multiplier(cursor: _Cursor, scale: int) -> int | None:
    """Read the "2" of "2 thousand" or the "a" of "a hundred", only where the scale follows."""
    if not cursor.scale(scale, ahead=1):
        return None
    if cursor.key() in cursor.words.articles:
        cursor.place += 1
        return 1
    return cursor.count(_HUNDRED)


def _scale_first(cursor: _Cursor) -> int | None:
    """Read "elfu moja mia mbili na hamsini": the scale stands before what it multiplies."""
    if not cursor.scale(_THOUSAND):
        return _hundreds_first(cursor)
    before = cursor.place
    count = cursor.count(_HUNDRED) or _tens_first(cursor) or 1
    doubtful = cursor.place - before > 1
    thousands = count * _THOUSAND
    rest = cursor.rest(_hundreds_first)
    if doubtful and not rest:
        # "elfu kumi na mbili": ten thousand and two, or twelve thousand.
        cursor.other = (count - count % _TEN) * _THOUSAND + count % _TEN
    return thousands + rest


def _hundreds_first(cursor: _Cursor) -> int | None:
    if not cursor.scale(_HUNDRED):
        return _tens_first(cursor)
    count = cursor.count(_TEN) or cursor.take(cursor.words.ones) or 1
    return count * _HUNDRED + cursor.rest(_tens_first)


def _tens_first(cursor: _Cursor) -> int | None:
    ten = cursor.take(cursor.words.tens)
    if ten is None:
        return cursor.take(cursor.words.ones)
    figure = cursor.words.ones.get(cursor.key(1), 0) if cursor.key() in cursor.words.joiners else 0
    cursor.place += 2 if figure else 0
    return ten + figure
