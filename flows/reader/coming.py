"""A day to come: of a warning, or of a collection."""

from datetime import date, timedelta
from typing import Final

from flows.reader.dates import Said, as_planted
from flows.reader.scan import Scan

_FURTHEST: Final = timedelta(days=30)


def coming_day(scan: Scan) -> date | None:
    """Return the coming day that is named."""
    for said in (*scan.days, *scan.weak_days):
        planted = as_planted(said, scan.today)
        days = (planted.on, planted.other, next_week(scan, said, planted.on)) if planted else ()
        coming = (day for day in days if day and scan.today <= day <= scan.today + _FURTHEST)
        found = next(coming, None)
        if found is not None:
            return found
    return None


def next_week(scan: Scan, said: Said, on: date) -> date | None:
    """Return the day a week after `on` where a weekday was said: elsewhere it is the last one, here the next."""
    weekdays = scan.lexicon.time.weekdays
    named = any(weekdays.at(scan.tokens, place) for place in range(said.start, said.end))
    return on + timedelta(days=7) if named else None
