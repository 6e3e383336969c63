"""Days named by the calendar: the day, the month and the year are parts that may stand in any order.

12 Oct 2026, October 12, last year in March, mwezi wa tano tarehe 20, mwaka jana machi, end of May, the 20th.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from flows.inputs import Precision
from flows.reader.date_figures import FULL, LONGEST_MONTH, SHORT, YEARS_BACK, Place, is_figures
from flows.reader.dates import Said, checked
from flows.reader.numbers import number_at

# A year is told from a count of plants by its first figures, and before a month by being near.
_CENTURIES: Final = frozenset({"19", "20", "21"})
_MONTHS: Final = 12
# "On the" is the longest run of small words between two parts.
_MOST_LINKS: Final = 2


class _Name(StrEnum):
    DAY = "day"
    STRETCH = "stretch"
    MONTH = "month"
    YEAR = "year"
    WAY = "way"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Part:
    name: _Name
    value: int
    end: int


_Parts = Mapping[_Name, _Part]


def by_parts(place: Place) -> Said | None:
    """Read a month with whatever is said of its day and year around it; weakly a month's name alone."""
    found = _collected(place)
    month = found.get(_Name.MONTH)
    if month is None:
        return None
    day, stretch = found.get(_Name.DAY), found.get(_Name.STRETCH)
    end = max(part.end for part in found.values())
    said = Said(
        start=place.start,
        end=end,
        day=day.value if day else stretch.value if stretch else None,
        month=month.value,
        year=_year_of(place, found),
        precision=Precision.EXACT if day else Precision.ABOUT if stretch else Precision.MONTH,
        weak=end == place.start + 1,
        wrong=not 0 < month.value <= _MONTHS,
    )
    return said if said.wrong else checked(said)


def _collected(place: Place) -> dict[_Name, _Part]:
    found: dict[_Name, _Part] = {}
    end = place.start
    while part := next(_parts_at(place.at(end), found), None):
        found[part.name] = part
        end = part.end
    return found


def _parts_at(place: Place, found: _Parts) -> Iterator[_Part]:
    """Return the parts that may be read here: directly, or behind the small words that join two parts."""
    for _ in range(_MOST_LINKS + 1 if found else 1):
        for read in _READERS:
            part = read(place, found)
            if part is not None and part.name not in found:
                yield part
        link = place.lexicon.time.links.at(place.tokens, place.start)
        if link is None:
            return
        place = place.at(link[0])


def _day(place: Place, found: _Parts) -> _Part | None:
    """Read a day of the month: behind a date word, right before a month, or in figures right behind one."""
    time = place.lexicon.time
    named = time.date_words.at(place.tokens, place.start)
    number = _whole_number(place.at(named[0]) if named else place)
    if number is None or not (named or found or _free(place)):
        return None
    end = (time.ordinals.at(place.tokens, number[0]) or (number[0], None))[0]
    beside = number[1] <= LONGEST_MONTH and (
        _month_follows(place.at(end), found) or _behind_month(place, found)
    )
    return _Part(name=_Name.DAY, value=number[1], end=end) if named or beside else None


def _whole_number(place: Place) -> tuple[int, int] | None:
    """Return where the whole number here ends and which it is."""
    number = number_at(place.tokens, place.start, place.lexicon)
    return None if number is None or number.value % 1 else (number.end, int(number.value))


def _free(place: Place) -> bool:
    """Return whether no word before the number says what it counts: "miche 20 mwezi wa 5"."""
    before = place.tokens[place.start - 1].key if place.start else ""
    lexicon = place.lexicon
    return not any(before in words for words in (lexicon.plants, lexicon.containers, lexicon.units))


def _month_follows(place: Place, found: _Parts) -> bool:
    if _Name.MONTH in found:
        return False
    return any(part.name is _Name.MONTH for part in _months_at(place))


def _months_at(place: Place) -> Iterator[_Part]:
    link = place.lexicon.time.links.at(place.tokens, place.start)
    for start in (place.start, link[0] if link else place.start):
        month = _month(place.at(start), {})
        if month is not None:
            yield month


def _behind_month(place: Place, found: _Parts) -> bool:
    token = place.token
    month = found.get(_Name.MONTH)
    short = is_figures(token) and token is not None and len(token.key) <= SHORT
    return short and month is not None and month.end == place.start


def _stretch(place: Place, found: _Parts) -> _Part | None:
    """Read "early", "mid", "end of" before a month as the day it is about."""
    hit = place.lexicon.time.stretches.at(place.tokens, place.start)
    if hit is None or _Name.MONTH in found or _month(place.at(hit[0]), found) is None:
        return None
    return _Part(name=_Name.STRETCH, value=hit[1], end=hit[0])


def _month(place: Place, _found: _Parts) -> _Part | None:
    """Read a month by its name or number: "machi", "mwezi wa tatu", "mwezi 3"."""
    time = place.lexicon.time
    named = time.months.at(place.tokens, place.start)
    if named is not None:
        return _Part(name=_Name.MONTH, value=named[1], end=named[0])
    numbered = time.numbered_month.at(place.tokens, place.start)
    number = _whole_number(place.at(numbered[0])) if numbered else None
    if numbered is None or number is None:
        return None
    # "Mwezi 1" may be a month ago, and "mwezi 8 uliopita" eight of them.
    stretch = time.periods.at(place.tokens, place.start)
    counts = stretch is not None and stretch[0] == numbered[0]
    if counts and (number[1] <= 1 or time.ago.at(place.tokens, number[0])):
        return None
    return _Part(name=_Name.MONTH, value=number[1], end=number[0])


def _year(place: Place, found: _Parts) -> _Part | None:
    """Read a year in words, or four figures behind a month or right before one."""
    said = said_year(place)
    if said is not None:
        return _Part(name=_Name.YEAR, value=said[1], end=said[0])
    year = _four_figures(place)
    if year is None:
        return None
    near = place.today.year - YEARS_BACK <= year <= place.today.year + 1
    if _Name.MONTH not in found and not (near and _month_follows(place.at(place.start + 1), found)):
        return None
    return _Part(name=_Name.YEAR, value=year, end=place.start + 1)


def said_year(place: Place) -> tuple[int, int] | None:
    """Read "last year", "mwaka huu", "mwaka 2025": return where it ends and which year it is."""
    time = place.lexicon.time
    relative = time.years_away.at(place.tokens, place.start)
    if relative is not None:
        return relative[0], place.today.year + relative[1]
    period = time.periods.at(place.tokens, place.start)
    year = _four_figures(place.at(period[0])) if period and period[1] == "year" else None
    return None if period is None or year is None else (period[0] + 1, year)


def _four_figures(place: Place) -> int | None:
    token = place.token
    if token is None or not is_figures(token) or len(token.key) != FULL or token.key[:2] not in _CENTURIES:
        return None
    return int(token.key)


def _way(place: Place, found: _Parts) -> _Part | None:
    """Read "last" or "next" beside a month: the latest one that is over, or the next to come."""
    time = place.lexicon.time
    for words, way in ((time.last, -1), (time.next, 1)):
        hit = words.at(place.tokens, place.start)
        if hit and (_Name.MONTH in found or _month(place.at(hit[0]), found)):
            return _Part(name=_Name.WAY, value=way, end=hit[0])
    return None


def _year_of(place: Place, found: _Parts) -> int | None:
    """Return the year that was said, outright or by "last" and "next"."""
    if _Name.YEAR in found:
        return found[_Name.YEAR].value
    if _Name.WAY not in found:
        return None
    today, month = place.today, found[_Name.MONTH].value
    if found[_Name.WAY].value < 0:
        return today.year - (month >= today.month)
    return today.year + (month <= today.month)


_READERS: Final[tuple[Callable[[Place, _Parts], _Part | None], ...]] = (_day, _stretch, _year, _way, _month)


def with_year(place: Place, said: Said) -> Said:
    """Return a day with the year that is said in words behind it: "20/5 mwaka jana"."""
    if said.month is None or said.year is not None:
        return said
    year = said_year(place.at(said.end))
    return said if year is None else checked(replace(said, end=year[0], year=year[1], weak=False))


def year_alone(place: Place) -> Said | None:
    """Read a year without a month: it is no day, and neither its figures nor its words mean anything else."""
    year = said_year(place)
    return None if year is None else Said(start=place.start, end=year[0], year=year[1], wrong=True)


def ordinal(place: Place) -> Said | None:
    """Read "the 20th" as a day of the month."""
    said = day_of_month(place)
    if said is None:
        return None
    behind = place.lexicon.time.ordinals.at(place.tokens, said.end)
    return replace(said, end=behind[0]) if behind else None


def day_of_month(place: Place) -> Said | None:
    """Read a bare number as a day of the month; only a date word, an ordinal or a month makes it one."""
    number = _whole_number(place)
    if number is None or not 0 < number[1] <= LONGEST_MONTH:
        return None
    return Said(start=place.start, end=number[0], day=number[1])
