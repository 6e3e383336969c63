"""Days named by the calendar: 12 Oct 2026, October 12, Machi 2026, tarehe 5 mwezi wa kumi, the 20th."""

from dataclasses import replace
from typing import Final

from flows.inputs import Precision
from flows.reader.date_figures import FULL, LONGEST_MONTH, SHORT, Place, dated, is_figures
from flows.reader.dates import Said
from flows.reader.numbers import number_at

# A year is told from a count of plants by its first figures.
_CENTURIES: Final = frozenset({"19", "20", "21"})
_MONTHS: Final = 12


def day_month(place: Place) -> Said | None:
    """Read "12 Oct", "12th of October 2026", "tarehe 5 mwezi wa kumi na moja"."""
    number = number_at(place.tokens, place.start, place.lexicon)
    if number is None or number.value % 1 or not 0 < number.value <= LONGEST_MONTH:
        return None
    time = place.lexicon.time
    end = (time.ordinals.at(place.tokens, number.end) or (number.end, None))[0]
    month = _month(place.at(end)) or _month(place.at((time.links.at(place.tokens, end) or (end, None))[0]))
    return None if month is None else _with_year(place, month[0], int(number.value), month[1])


def month_day(place: Place) -> Said | None:
    """Read "October 12", "Oct 12th 2026", "Machi 2026" and weakly "Machi" alone."""
    month = _month(place)
    if month is None:
        return None
    end, number = month[0], place.at(month[0]).token
    if is_figures(number) and number is not None and len(number.key) <= SHORT:
        end = (place.lexicon.time.ordinals.at(place.tokens, end + 1) or (end + 1, None))[0]
        return _with_year(place, end, int(number.key), month[1])
    year = _year(place.at(end))
    return Said(
        start=place.start,
        end=year[0] if year else end,
        month=month[1],
        year=year[1] if year else None,
        precision=Precision.MONTH,
        weak=year is None,
    )


def _month(place: Place) -> tuple[int, int] | None:
    """Read a month by its name or number ("mwezi wa tatu"): return where it ends and which it is."""
    time = place.lexicon.time
    named = time.months.at(place.tokens, place.start)
    if named is not None:
        return named
    numbered = time.numbered_month.at(place.tokens, place.start)
    number = number_at(place.tokens, numbered[0], place.lexicon) if numbered else None
    if number is None or number.value % 1 or not 0 < number.value <= _MONTHS:
        return None
    return number.end, int(number.value)


def _year(place: Place) -> tuple[int, int] | None:
    """Read a year in four figures, or "last year": return where it ends and which it is."""
    relative = place.lexicon.time.years_away.at(place.tokens, place.start)
    if relative is not None:
        return relative[0], place.today.year + relative[1]
    token = place.token
    if token is None or not is_figures(token) or len(token.key) != FULL or token.key[:2] not in _CENTURIES:
        return None
    return place.start + 1, int(token.key)


def ordinal(place: Place) -> Said | None:
    """Read "the 20th" as a day of the month."""
    said = day_of_month(place)
    if said is None:
        return None
    behind = place.lexicon.time.ordinals.at(place.tokens, said.end)
    return replace(said, end=behind[0]) if behind else None


def day_of_month(place: Place) -> Said | None:
    """Read a bare number as a day of the month; only a date word or an ordinal makes it one."""
    number = number_at(place.tokens, place.start, place.lexicon)
    if number is None or number.value % 1 or not 0 < number.value <= LONGEST_MONTH:
        return None
    return Said(start=place.start, end=number.end, day=int(number.value))


def _with_year(place: Place, end: int, day: int, month: int) -> Said:
    year = _year(place.at(end))
    return dated(place, year[0] if year else end, day, month, year[1] if year else None)
