"""An officer's order for a warning: "warn frost 27/11 -2 Ketumali", in any order behind the word."""

import re
from typing import Final

from flows.orders import Warn
from flows.reader.coming import coming_day
from flows.reader.scan import Scan
from flows.reader.slots import district_in

# A minus stands before a figure and behind a space: "27-11" has none.
_BELOW_ZERO: Final = re.compile(r"(?:^|\s)-\s?(\d{1,2})(?!\d)")


def warning_in(scan: Scan, districts: tuple[str, ...]) -> Warn:
    """Return what a text says of a warning."""
    hit = scan.lexicon.warnings.first(scan.tokens)
    named = scan.lexicon.warnings.at(scan.tokens, hit[0]) if hit else None
    district = district_in(scan, districts)
    return Warn(
        template=named[1] if named else None,
        on=coming_day(scan),
        figure=_figure(scan),
        district=district[0] if district else None,
    )


def _figure(scan: Scan) -> int | None:
    below = _BELOW_ZERO.search(scan.plain)
    if below:
        return -int(below[1])
    numbers = [amount for amount in scan.amounts if amount.value % 1 == 0]
    return int(numbers[0].value) if numbers else None
