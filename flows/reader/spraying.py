"""A report of a spray: its day, and the days that the label says to wait. What was sprayed is nobody's question here.

A number is taken for the label's days only where nothing beside it may be a dose or a count: "sprayed 20 ml" is a
spray whose label has to be asked for.
"""

from decimal import Decimal

from flows.inputs import Precision
from flows.reader.commands import Found
from flows.reader.dates import Said, as_picked
from flows.reader.numbers import number_at
from flows.reader.phrases import Phrases
from flows.reader.scan import Scan
from flows.spraying import FEWEST_DAYS, MOST_DAYS, Sprayed


def spray_in(scan: Scan, found: Found) -> Sprayed | None:
    """Return the spray that is reported, None where the text is a sentence about spraying."""
    lexicon = scan.lexicon
    if scan.question or _denied(scan) or scan.has(lexicon.no_spray):
        return None
    only_named = scan.word(found.place) in lexicon.spray_named
    if only_named and not _plain(scan, found.others):
        return None
    days = [said for said in scan.days if counted_days(scan, said) is None]
    on = next((day for said in days if (day := as_picked(said, scan.today))), None)
    return Sprayed(
        days=label_days(scan, found.others),
        on=on,
        vague=bool(days) and on is None,
        unsure=unsure(scan),
    )


def label_days(scan: Scan, words: tuple[int, ...]) -> int | None:
    """Return the label's days that a text says, beside the words at these places; None where it says none for sure."""
    if scan.below_zero or scan.question or not _plain(scan, words):
        return None
    if any(amount.unit or amount.thing for amount in scan.amounts):
        return None
    waits = (counted_days(scan, said) for said in scan.days)
    said = [amount.value for amount in scan.amounts] + [wait for wait in waits if wait is not None]
    fits = len(said) == 1 and said[0] % 1 == 0 and FEWEST_DAYS <= said[0] <= MOST_DAYS
    return int(said[0]) if fits else None


def unsure(scan: Scan) -> bool:
    """Return whether a text says that something is not known."""
    return not scan.question and scan.has(scan.lexicon.unsure)


def counted_days(scan: Scan, said: Said) -> Decimal | None:
    """Return how many days a stretch of time has that is neither ago nor ahead: "7 days" is what a label says."""
    places, time = range(said.start, said.end), scan.lexicon.time
    if said.precision is not Precision.ABOUT or said.on is None:
        return None
    number = any(number_at(scan.tokens, place, scan.lexicon) for place in places)
    way = any(time.ago.at(scan.tokens, place) for place in places)
    return Decimal((scan.today - said.on).days) if number and not way else None


def _plain(scan: Scan, words: tuple[int, ...]) -> bool:
    """Return whether the words at these places change nothing about a spray."""
    known = _covered(scan, scan.lexicon.spray_beside) | _covered(scan, scan.lexicon.unsure)
    return known.issuperset(words)


def _denied(scan: Scan) -> bool:
    """Return whether a text says no to something else than to knowing the label."""
    return not _covered(scan, scan.lexicon.negations) <= _covered(scan, scan.lexicon.unsure)


def _covered(scan: Scan, phrases: Phrases[None]) -> frozenset[int]:
    """Return the places of a text that some of `phrases` cover."""
    hits = ((place, phrases.at(scan.tokens, place)) for place in range(len(scan.tokens)))
    return frozenset(covered for place, hit in hits if hit for covered in range(place, hit[0]))
