"""An officer's order for a warning: "warn frost 27/11 -2 Ketumali", in any order behind the word."""

import re
from datetime import date, timedelta
from typing import Final

from flows.orders import Warn
from flows.reader.dates import Said, as_planted
from flows.reader.scan import Scan
from flows.reader.slots import district_in

_FURTHEST: Final = timedelta(days=30)
# A minus stands before a figure and behind a space: "27-11" has none.
_BELOW_ZERO: Final = re.compile(r"(?:^|\s)-\s?(\d{1,2})(?!\d)")


def warning_in(scan: Scan, districts: tuple[str, ...]) -> Warn:
    """Return what a text says of a warning."""
    hit = scan.lexicon.warnings.first(scan.tokens)
    named = scan.lexicon.warnings.at(scan.tokens, hit[0]) if hit else None
    district = district_in(scan, districts)
    return Warn(
        template=named[1] if named else None,
        on=_day(scan),
        figure=_figure(scan),
        district=district[0] if district else None,
    )


def _day(scan: Scan) -> date | None:
    """Return the coming day that is named."""
    for said in (*scan.days, *scan.weak_days):
        planted = as_planted(said, scan.today)
        days = (planted.on, planted.other, _next_week(scan, said, planted.on)) if planted else ()
        coming = (day for day in days if day and scan.today <= day <= scan.today + _FURTHEST)
        found = next(coming, None)
        if found is not None:
            return found
    return None


def _next_week(scan: Scan, said: Said, on: date) -> date | None:
    """Return the day a week after `on` where a weekday was said: elsewhere it is the last one, here the next."""
    weekdays = scan.lexicon.time.weekdays
    named = any(weekdays.at(scan.tokens, place) for place in range(said.start, said.end))
    return on + timedelta(days=7) if named else None


def _figure(scan: Scan) -> int | None:
    below = _BELOW_ZERO.search(scan.plain)
    if below:
        return -int(below[1])
    numbers = [amount for amount in scan.amounts if amount.value % 1 == 0]
    return int(numbers[0].value) if numbers else None
