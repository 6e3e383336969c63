"""What a day that was said means: a picking lies in the past, a planting may lie ahead.

`Said` keeps only what was said: a day and a month, maybe a year, or a day reckoned from today. The question
it answers decides the rest. A year is never corrected; whoever stores the day asks when it is unlikely.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from flows.inputs import Planted, Precision

# Farmers report planting ahead by about a season of preparation; within it both years are likely.
AHEAD: Final = timedelta(days=90)
# The day taken where only a month was said.
MIDDLE: Final = 15
# Without a year the 29th of February may exist.
_LEAP_YEAR: Final = 2024
_MONTHS: Final = 12


@dataclass(frozen=True, kw_only=True, slots=True)
class Said:
    """A day as it was said.

    Attributes:
        start: the place of its first token.
        end: the place of the first token after it.
        day: day of the month, or None.
        month: month, or None.
        year: year as said, never corrected, or None.
        on: a day reckoned from today, or None.
        precision: how closely it was said.
        weak: True when the same tokens may be something else: a number, a fraction, an ordinary word.
        wrong: True when there is no such day: 31 November.
    """

    start: int
    end: int
    day: int | None = None
    month: int | None = None
    year: int | None = None
    on: date | None = None
    precision: Precision = Precision.EXACT
    weak: bool = False
    wrong: bool = False


def as_picked(said: Said, today: date) -> date | None:
    """Return the day of a picking: the latest past one that fits, or None where no single day was said."""
    if said.precision is not Precision.EXACT or said.wrong:
        return None
    return said.on or (_whole(said) if said.year else _latest(said, today))


def as_planted(said: Said, today: date) -> Planted | None:
    """Return the day of a planting, with the coming one as `other` when both are likely."""
    if said.wrong:
        return None
    on = said.on or (_whole(said) if said.year else None)
    if on is not None:
        return Planted(on=on, precision=said.precision)
    past, ahead = _latest(said, today), _coming(said, today)
    other = ahead if ahead is not None and ahead - today <= AHEAD else None
    if past is None:
        return None if ahead is None else Planted(on=ahead, precision=said.precision)
    return Planted(on=past, precision=said.precision, other=other)


def checked(said: Said) -> Said:
    """Return a day said by its month, marked wrong when the calendar has none such."""
    year = _LEAP_YEAR if said.year is None else said.year
    day = MIDDLE if said.day is None else said.day
    return replace(said, wrong=day_of(year, said.month or 0, day) is None)


def day_of(year: int, month: int, day: int) -> date | None:
    """Return the day, or None when there is none such."""
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _whole(said: Said) -> date | None:
    return day_of(said.year or 0, said.month or 0, said.day or MIDDLE)


def _around(said: Said, today: date) -> list[date]:
    """Return the days said without a year, or without a month, in the years or months about today."""
    if said.month is not None:
        days = [day_of(today.year + shift, said.month, said.day or MIDDLE) for shift in (-1, 0, 1)]
    else:
        months = [moved(today.replace(day=1), months=shift) for shift in (-2, -1, 0, 1, 2)]
        days = [day_of(month.year, month.month, said.day or 0) for month in months if month]
    return [day for day in days if day is not None]


def _latest(said: Said, today: date) -> date | None:
    # The running month counts as past although its middle may lie ahead.
    past = [day for day in _around(said, today) if day <= today or _running(said, day, today)]
    return max(past, default=None)


def _coming(said: Said, today: date) -> date | None:
    ahead = [day for day in _around(said, today) if day > today and not _running(said, day, today)]
    return min(ahead, default=None)


def _running(said: Said, day: date, today: date) -> bool:
    return said.day is None and (day.year, day.month) == (today.year, today.month)


def moved(day: date, *, months: int) -> date | None:
    """Return `day` some months away, on the last day of a shorter month; None outside the calendar."""
    count = day.year * _MONTHS + day.month - 1 + months
    year, month = count // _MONTHS, count % _MONTHS + 1
    return next((found for back in range(4) if (found := day_of(year, month, day.day - back))), None)
