"""What a text holds beside its intent: a number, a day, a district, a name."""

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from rapidfuzz.distance import OSA

from flows.inputs import Planted
from flows.reader.amounts import Amount, Thing
from flows.reader.brought import nothing, only_weight
from flows.reader.date_figures import YEARS_BACK
from flows.reader.dates import Said, as_planted
from flows.reader.lexicon import SHORTEST_NEAR
from flows.reader.names import name_answered
from flows.reader.normalise import Kind, Token, key_of
from flows.reader.number_words import said
from flows.reader.scan import Scan
from flows.reader.spraying import label_days, unsure
from flows.reader.traded import worth_in
from flows.slots import Slots

_CENTURY: Final = 100
_WEEK: Final = 7
# So many digits in a row count nothing: they are a telephone number.
_NUMBER: Final = re.compile(r"\+?\d{9,15}")
_LONG_NUMBER: Final = 100_000_000
# A figure that stands alone: "1 4", "1,4", "1/4".
_WEEKDAY: Final = re.compile(r"(?<!\d)[1-7](?!\d)")


def slots_of(scan: Scan, districts: Sequence[str]) -> Slots:
    """Return everything an open question could take from the text."""
    district = district_in(scan, districts)
    numbers = [amount for amount in scan.amounts if amount.thing is not Thing.CONTAINERS]
    return Slots(
        number=numbers[0].value if numbers else None,
        plants=plants_in(scan),
        planted=planted_in(scan),
        district=district[0] if district else None,
        name=name_answered(scan, taken=_places(district)),
        language=language_in(scan),
        weekdays=weekdays_in(scan),
        label_days=label_days(scan, scan.content),
        unsure=unsure(scan),
        worth=worth_in(scan),
        nothing=nothing(scan),
        grams=only_weight(scan),
    )


def language_in(scan: Scan) -> str | None:
    """Return the code of the first language that is named."""
    hit = scan.lexicon.languages.first(scan.tokens)
    found = scan.lexicon.languages.at(scan.tokens, hit[0]) if hit else None
    return found[1] if found else None


def weekdays_in(scan: Scan) -> tuple[int, ...]:
    """Return the weekdays that are named, or those that a text of nothing but figures from 1 to 7 means.

    Each is there once; 0 is Monday.
    """
    named = (scan.lexicon.time.weekdays.at(scan.tokens, place) for place in range(len(scan.tokens)))
    found = [hit[1] for hit in named if hit]
    rest = [token for token in scan.tokens if not scan.lexicon.joiners.at([token], 0)]
    if not found and all(token.kind is not Kind.WORD for token in rest):
        found = [int(figure) - 1 for token in rest for figure in _WEEKDAY.findall(token.key)]
    found = found or _spoken_weekdays(scan, rest)
    return tuple(dict.fromkeys(found))


def _spoken_weekdays(scan: Scan, tokens: Sequence[Token]) -> list[int]:
    """Return the weekdays that a text of nothing but number words means: "moja na nne"."""
    spoken = [
        next((number for words in scan.lexicon.numbers if (number := said([token], 0, words))), None)
        for token in tokens
    ]
    values = [number.value if number else Decimal() for number in spoken]
    return [int(value) - 1 for value in values] if all(1 <= value <= _WEEK for value in values) else []


def number_in(scan: Scan) -> str | None:
    """Return the telephone number in a text, as typed."""
    found = _NUMBER.search(scan.plain)
    return found[0] if found else None


def planted_in(scan: Scan) -> Planted | None:
    """Return the planting day: the first certain day that can be one, else the first weak one."""
    days = (_with_short_year(said, scan) for said in said_days(scan))
    return next((planted for said in days if (planted := as_planted(said, scan.today))), None)


def _with_short_year(said: Said, scan: Scan) -> Said:
    """Return the day with the two figures of a year that stand behind it: 12 Oct 26."""
    years = (amount for amount in scan.amounts if amount.start == said.end and _is_year(amount, scan))
    year = next(years, None)
    return replace(said, year=scan.today.year // _CENTURY * _CENTURY + int(year.value)) if year else said


def said_days(scan: Scan) -> tuple[Said, ...]:
    """Return the certain days, or the weak ones where there is no certain one."""
    return scan.days or scan.weak_days


def plants_in(scan: Scan) -> int | None:
    """Return the number of plants: the one said to be of plants, else the only whole one."""
    weak = () if scan.days else scan.weak_days
    dated = {place for said in weak[:1] for place in range(said.start, said.end)}
    free = [amount for amount in scan.amounts if amount.start not in dated and not _is_year(amount, scan)]
    named = [amount for amount in free if amount.thing is Thing.PLANTS]
    counted = named or [
        amount
        for amount in free
        if amount.thing is None and amount.unit is None and amount.value < _LONG_NUMBER
    ]
    return counted[0].count if len(counted) == 1 else None


def _is_year(amount: Amount, scan: Scan) -> bool:
    """Return whether the amount is the short year of the day before it: 12 Oct 26."""
    plain = amount.unit is None and amount.thing is None and amount.value % 1 == 0
    behind_day = any(
        said.end == amount.start and said.day and not said.year for said in scan.days if said.month
    )
    return plain and behind_day and -YEARS_BACK <= amount.value - scan.today.year % _CENTURY <= 1


def district_in(scan: Scan, districts: Sequence[str]) -> tuple[str, int, int] | None:
    """Return the first known district, as the programme spells it, with its first place and its end.

    One slip of the finger is forgiven in a name of five letters or more.
    """
    names = sorted(((name, tuple(map(key_of, name.split()))) for name in districts), key=_longest_first)
    spots = [(place, name, keys) for place in range(len(scan.tokens)) for name, keys in names if keys]
    for alike in (_same, _near):
        for place, name, keys in spots:
            typed = tuple(token.key for token in scan.tokens[place : place + len(keys)])
            if alike(" ".join(typed), " ".join(keys)):
                return name, place, place + len(keys)
    return None


def _longest_first(name: tuple[str, tuple[str, ...]]) -> int:
    return -len(name[1])


def _same(typed: str, known: str) -> bool:
    return typed == known


def _near(typed: str, known: str) -> bool:
    long_enough = min(len(typed), len(known)) >= SHORTEST_NEAR
    return long_enough and typed[0] == known[0] and OSA.distance(typed, known, score_cutoff=1) <= 1


def _places(district: tuple[str, int, int] | None) -> frozenset[int]:
    return frozenset(range(district[1], district[2])) if district else frozenset()
