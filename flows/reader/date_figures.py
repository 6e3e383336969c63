"""Days typed in figures: 12/10/2026, 12 10 2026, 12-10-26, 2026-10-12, 12/10, 03/2026, 12.10."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final

from flows.inputs import Precision
from flows.reader.dates import MIDDLE, Said, checked, day_of
from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Kind, Token
from flows.reader.numbers import part_of_one

LONGEST_MONTH: Final = 31
SHORT: Final = 2  # figures of a day, a month or a short year
FULL: Final = 4  # figures of a year
# A stand bears three years: an earlier year is rather a count.
YEARS_BACK: Final = 4
_CENTURY: Final = 2000
_MONTHS: Final = 12
# Fractions a farmer writes; 3/8 is rather the third of August.
_COMMON_PARTS: Final = frozenset({Decimal("0.5"), Decimal("0.25"), Decimal("0.75")})


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where a pattern looks, and with what."""

    tokens: Sequence[Token]
    start: int
    lexicon: Lexicon
    today: date

    def at(self, start: int) -> "Place":
        """Return the same with another start."""
        return replace(self, start=start)

    @property
    def token(self) -> Token | None:
        """The token here, None behind the end."""
        return self.tokens[self.start] if self.start < len(self.tokens) else None


def numeric(place: Place) -> Said | None:
    """Read 12/10/2026, 12-10-26, 12.10.26 and 2026-10-12."""
    token = place.token
    if token is None or token.kind is not Kind.DAY:
        return None
    mark = next(char for char in token.key if not char.isdigit())
    first, month, last = (int(part) for part in token.key.split(mark))
    day, year = (
        (last, first) if first > LONGEST_MONTH else (first, _full(last, token.key.rpartition(mark)[2]))
    )
    return dated(place, place.start + 1, day, month, year)


def two_figures(place: Place) -> Said | None:
    """Read 12/10, and weakly 12-10 and 1/2; with four figures on a side a month and its year: 03/2026."""
    token = place.token
    if token is None or token.kind is not Kind.PAIR:
        return None
    mark = "/" if "/" in token.key else "-"
    parts = token.key.split(mark)
    by_length = sorted(parts, key=len)
    if len(by_length[1]) > SHORT:
        return _month_of_year(
            place, int(by_length[0]), int(by_length[1]), year_said=len(by_length[1]) == FULL
        )
    part = part_of_one(token)
    if part is not None and _counts(place):
        return None
    said = dated(place, place.start + 1, int(parts[0]), int(parts[1]), None)
    return replace(said, weak=mark == "-" or part in _COMMON_PARTS)


def _counts(place: Place) -> bool:
    """Return whether the pair here stands between a whole number and a unit, or beside either."""
    before = place.tokens[place.start - 1] if place.start else None
    units = place.lexicon.units
    mixed = before is not None and is_figures(before) and len(before.key) <= SHORT
    unit_before = before is not None and before.key in units
    return mixed or unit_before or units.at(place.tokens, place.start + 1) is not None


def spaced(place: Place) -> Said | None:
    """Read 12 10 2026: three figures in a row are a day where the last is a year near today."""
    row = place.tokens[place.start : place.start + 3]
    if len(row) < 3 or not all(map(is_figures, row)) or len(row[2].key) != FULL:  # noqa: PLR2004
        return None
    day, month, year = (int(token.key) for token in row)
    near = place.today.year - YEARS_BACK <= year <= place.today.year + 1
    if not (near and 0 < day <= LONGEST_MONTH and 0 < month <= _MONTHS):
        return None
    return dated(place, place.start + 3, day, month, year)


def dotted(place: Place) -> Said | None:
    """Read 12.10 weakly as the twelfth of October: it may as well be a weight."""
    token = place.token
    if token is None or token.kind is not Kind.DIGITS:
        return None
    day, mark, month = token.key.partition(".")
    if not mark or not (day.isdigit() and month.isdigit()) or len(month) > SHORT:
        return None
    found = dated(place, place.start + 1, int(day), int(month), None)
    return None if found.wrong else replace(found, weak=True)


def is_figures(token: Token | None) -> bool:
    """Return whether the token is digits without a separator."""
    return token is not None and token.kind is Kind.DIGITS and token.key.isdigit()


def _month_of_year(place: Place, month: int, year: int, *, year_said: bool) -> Said:
    wrong = not year_said or day_of(year, month, MIDDLE) is None
    return Said(
        start=place.start, end=place.start + 1, month=month, year=year, precision=Precision.MONTH, wrong=wrong
    )


def dated(place: Place, end: int, day: int, month: int, year: int | None) -> Said:
    """Return the day of these figures from the place to `end`, marked wrong when there is none such."""
    return checked(Said(start=place.start, end=end, day=day, month=month, year=year))


def _full(year: int, typed: str) -> int:
    return year + _CENTURY if len(typed) <= SHORT else year
