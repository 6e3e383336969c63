"""Numbers as they are typed: 12, 12.5, 12,5, 7 1/2, 7½, twelve.

One or two digits behind any separator are decimals, in every language. Three digits may be decimals or
thousands; both readings are kept.
"""

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Kind, Token
from flows.reader.number_words import Spoken, said

# More digits than this are a telephone number or an account, not a count of plants or a weight.
MOST_DIGITS: Final = 7
_MOST_DECIMALS: Final = 6
_GROUP: Final = 3
# What people halve and quarter; "5/6 kg" is five or six, and no five sixths.
_PARTS: Final = frozenset({2, 3, 4, 8})
_LARGEST_MIXED: Final = 100


def number_at(tokens: Sequence[Token], start: int, lexicon: Lexicon) -> Spoken | None:
    """Return the number that begins at `start`, the longest of all readings, or None."""
    readings = [_digits_at(tokens, start), _pair_at(tokens, start), _fraction_at(tokens, start, lexicon)]
    readings += [said(tokens, start, words) for words in lexicon.numbers]
    found = [reading for reading in readings if reading is not None]
    return max(found, key=lambda reading: reading.end, default=None)


def part_of_one(token: Token) -> Decimal | None:
    """Return the value of a token like 1/2 or 3/4 when it can be a fraction, else None."""
    if token.kind is not Kind.PAIR or "/" not in token.key:
        return None
    upper, lower = (int(part) for part in token.key.split("/"))
    return Decimal(upper) / lower if 0 < upper < lower and lower in _PARTS else None


def of_digits(text: str) -> tuple[Decimal, Decimal | None] | None:
    """Return both readings of digits with any separators, or None where they make no number."""
    groups, marks = re.split(r"[.,]", text), re.findall(r"[.,]", text)
    if len(groups[0]) > MOST_DIGITS:
        return None
    if not marks:
        return Decimal(text), None
    if len(marks) == 1:
        return _one_mark(groups[0], groups[1])
    return _many_marks(groups, marks)


def _one_mark(whole: str, tail: str) -> tuple[Decimal, Decimal | None]:
    value = Decimal(f"{whole or 0}.{tail[:_MOST_DECIMALS]}")
    grouped = len(tail) == _GROUP and 1 <= len(whole) <= _GROUP and whole[0] != "0"
    return value, Decimal(whole + tail) if grouped else None


def _many_marks(groups: list[str], marks: list[str]) -> tuple[Decimal, None] | None:
    """Read 1,250,000 and 1,250.5; anything else with several separators is no number."""
    decimals = groups.pop() if marks[-1] != marks[0] else ""
    whole = "".join(groups)
    sound = all(len(group) == _GROUP for group in groups[1:]) and len(set(marks[: len(groups) - 1])) <= 1
    if not sound or not 0 < len(whole) <= MOST_DIGITS:
        return None
    return Decimal(f"{whole}.{decimals[:_MOST_DECIMALS] or 0}"), None


def _digits_at(tokens: Sequence[Token], start: int) -> Spoken | None:
    """Read digits, with a fraction behind them: 12, 12.5, 7 1/2."""
    if start >= len(tokens) or tokens[start].kind is not Kind.DIGITS:
        return None
    both = of_digits(tokens[start].key)
    if both is None:
        return None
    value, other = both
    # Behind a larger number 1/4 is the first of April: "400 1/4".
    mixed = start + 1 < len(tokens) and tokens[start].key.isdigit() and value < _LARGEST_MIXED
    part = part_of_one(tokens[start + 1]) if mixed else None
    if part is not None:
        return Spoken(value=value + part, end=start + 2)
    return Spoken(value=value, other=other, end=start + 1)


def _pair_at(tokens: Sequence[Token], start: int) -> Spoken | None:
    part = part_of_one(tokens[start]) if start < len(tokens) else None
    return None if part is None else Spoken(value=part, end=start + 1)


def _fraction_at(tokens: Sequence[Token], start: int, lexicon: Lexicon) -> Spoken | None:
    hit = lexicon.fractions.at(tokens, start)
    return None if hit is None else Spoken(value=hit[1], end=hit[0])
