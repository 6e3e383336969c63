"""Days found in the tokens of a text, before numbers are read.

Figures are read day first, as CLDR gives it for every country this service writes to; where only month first
would fit there is no day, and the farmer is asked: the figures are never silently swapped.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from flows.inputs import Precision
from flows.reader.date_calendar import (
    by_parts,
    day_of_month,
    ordinal,
    said_year,
    with_year,
    year_alone,
)
from flows.reader.date_figures import Place, dotted, numeric, spaced, two_figures
from flows.reader.date_reckoned import counted, named_day, named_month, named_week, weekday
from flows.reader.dates import Said, checked
from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Token

# The first pattern that fits wins; the longer a pattern, the earlier it stands.
_PATTERNS: Final[tuple[Callable[[Place], Said | None], ...]] = (
    numeric,
    two_figures,
    spaced,
    by_parts,
    year_alone,
    counted,
    named_day,
    named_week,
    named_month,
    weekday,
    ordinal,
    dotted,
)


def find_dates(tokens: Sequence[Token], lexicon: Lexicon, today: date) -> tuple[Said, ...]:
    """Return the days said in `tokens`, in order, none overlapping another."""
    found: list[Said] = []
    place = 0
    while place < len(tokens):
        said = _at(Place(tokens=tokens, start=place, lexicon=lexicon, today=today))
        if said is not None:
            found.append(said)
        place = place + 1 if said is None else said.end
    return tuple(found)


def _first(place: Place) -> Said | None:
    """Return what the first pattern that fits reads, with a year that is said in words behind or before it."""
    found = next((said for pattern in _PATTERNS if (said := pattern(place))), None)
    if found is None or found.month is not None:
        return with_year(place, found) if found else None
    year = said_year(place)
    behind = next((said for one in (numeric, two_figures) if year and (said := one(place.at(year[0])))), None)
    if year is None or behind is None or behind.month is None or behind.year is not None:
        return found
    return checked(replace(behind, start=place.start, year=year[1], weak=False))


def _at(place: Place) -> Said | None:
    """Return the day said at this place, with the words before it that belong to it."""
    about = place.lexicon.time.about.at(place.tokens, place.start)
    inner = place.at(about[0]) if about else place
    named = inner.lexicon.time.date_words.at(inner.tokens, inner.start)
    inner = inner.at(named[0]) if named else inner
    said = _first(inner)
    if named and (said is None or said.weak):
        said = day_of_month(inner) if said is None else replace(said, weak=False)
    if said is None:
        return None
    precision = Precision.ABOUT if about else said.precision
    return replace(said, start=place.start, precision=precision)
