"""How long a pause shall be: "pause 4 weeks", "simamisha wiki 4", "pause until march"; of no day, nobody said how long.

A stretch of time is reckoned forward here, since nobody pauses what lies behind them.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from flows.inputs import Precision
from flows.reader.dates import Said
from flows.reader.scan import Scan
from flows.wishes import Pause

_MONTHS: Final = 12


def pause_in(scan: Scan, beside: Sequence[int]) -> Pause | None:
    """Return the pause that a text asks for; None if it says more than that.

    Args:
        scan: the text.
        beside: the words that carry meaning and are not those for the pause itself.
    """
    if scan.amounts or scan.question or len(scan.days) > 1:
        return None
    bare = [place for place in beside if scan.lexicon.until.at(scan.tokens, place) is None]
    if scan.days:
        until = None if bare else _until(scan.days[0], scan.today)
        return Pause(until=until) if until else None
    month = scan.lexicon.time.months.at(scan.tokens, bare[0]) if len(bare) == 1 else None
    if month and len(bare) < len(beside):
        return Pause(until=_coming(scan.today, month[1], 1))
    return None if beside else Pause()


def _until(said: Said, today: date) -> date | None:
    """Return the day that was meant: so long from now, or the next day of that name."""
    if said.wrong:
        return None
    if said.on is not None:
        if said.on >= today or said.precision is Precision.EXACT:
            return said.on if said.on > today else None
        return today + (today - said.on)
    if said.day is None or said.month is None:
        return None
    if said.year is not None:
        day = _day(said.year, said.month, said.day)
        return day if day and day > today else None
    return _coming(today, said.month, said.day)


def _coming(today: date, month: int, day: int) -> date | None:
    """Return the next such day after today."""
    years = (_day(today.year + more, month, day) for more in (0, 1))
    return next((found for found in years if found and found > today), None)


def _day(year: int, month: int, day: int) -> date | None:
    last = date(year + month // _MONTHS, month % _MONTHS + 1, 1) - timedelta(days=1)
    return date(year, month, day) if day <= last.day else None
