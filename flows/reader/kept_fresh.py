"""How long picked fruit keeps: the word for it, and how many hours ago it was picked."""

from typing import Final

from flows.inputs import Input
from flows.keeping import Fresh
from flows.reader.given import Given

# Fruit that was picked a fortnight ago is not asked about.
_MOST_HOURS: Final = 336


def kept_fresh(given: Given) -> Input:
    """Read the word alone, or with a whole number of hours; with other words beside it, it is a sentence."""
    scan = given.scan
    plain = all(scan.word(place) in scan.lexicon.vessels.lain for place in given.found.others)
    hours = scan.amounts[0].count if len(scan.amounts) == 1 and not scan.amounts[0].unit else None
    if not plain or scan.below_zero or len(scan.amounts) > 1 or (scan.amounts and hours is None):
        return given.sentence("other words beside it")
    return Fresh(hours=None if hours is None else min(hours, _MOST_HOURS))
