"""How long a pause shall be: "pause 4 weeks", "simamisha wiki 4", "pause until march"; of no day, nobody said how long.

A stretch of time is reckoned forward here, since nobody pauses what lies behind them.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from flows.inputs import Precision
from flows.reader.coming import next_week
from flows.reader.dates import Said
from flows.reader.scan import Scan
from flows.wishes import Pause

# Days ahead that are looked through: nobody pauses for longer than two years.
_LONGEST: Final = 2 * 366


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
        until = None if bare else _until(scan, scan.days[0])
        return Pause(until=until) if until else None
    month = scan.lexicon.time.months.at(scan.tokens, bare[0]) if len(bare) == 1 else None
    if month and len(bare) < len(beside):
        return Pause(until=_coming(scan.today, 1, month[1]))
    return None if beside else Pause()


def _until(scan: Scan, said: Said) -> date | None:
    """Return the day that was meant: so long from now, or the next day that is called so."""
    today = scan.today
    if said.wrong:
        return None
    if said.on is None:
        return _coming(today, said.day, said.month, said.year)
    if said.on < today and said.precision is not Precision.EXACT:
        return today + (today - said.on)
    day = said.on if said.on > today else next_week(scan, said, said.on)
    return day if day and day > today else None


def _coming(today: date, day: int | None, month: int | None, year: int | None = None) -> date | None:
    """Return the next day after today with this day of the month, month and year, as far as they were said."""
    wanted = [(name, value) for name, value in (("day", day), ("month", month), ("year", year)) if value]
    ahead = (today + timedelta(days=days) for days in range(1, _LONGEST))
    return next((one for one in ahead if all(getattr(one, name) == value for name, value in wanted)), None)
