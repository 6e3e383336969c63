"""What will be brought to a collection: "estimate 12", "kadirio kilo 8 na nusu", "estimate none"."""

from flows.collecting import Estimate
from flows.inputs import Input
from flows.reader.amounts import Thing
from flows.reader.coming import coming_day
from flows.reader.given import Given
from flows.reader.scan import Scan
from flows.reader.weights import contained

# Words that carry meaning beside the command: more is a sentence.
_MOST_BESIDE = 2


def estimate(given: Given) -> Input:
    """Read what a farmer will bring: one weight, or that it is nothing."""
    scan = given.scan
    if scan.question or len(given.found.others) > _MOST_BESIDE:
        return given.sentence("a sentence about what will come")
    weights = [amount for amount in scan.amounts if amount.thing is None]
    on = coming_day(scan)
    if not weights:
        none = scan.has(scan.lexicon.none)
        given.why.append("nothing" if none else "no weight")
        return Estimate(grams=0 if none else None, on=on, doubtful=contained(scan))
    doubtful = len(weights) > 1 or scan.below_zero or scan.has(scan.lexicon.negations)
    first = weights[0]
    given.why.append("doubtful" if doubtful else f"{first.grams} g")
    return Estimate(grams=first.grams, on=on, doubtful=doubtful or first.other is not None)


def nothing(scan: Scan) -> bool:
    """Return whether a text says that nothing will come, and no more: "none", "hakuna", "nothing tomorrow"."""
    hit = scan.lexicon.none.first(scan.tokens)
    if hit is None or scan.amounts or scan.question:
        return False
    return all(place in range(*hit) or scan.word(place) in scan.lexicon.negations for place in scan.content)


def only_weight(scan: Scan) -> int | None:
    """Return the weight in grams that, days aside, is all a text says; None where digits have two readings."""
    if len(scan.amounts) != 1 or scan.content or scan.question or scan.below_zero:
        return None
    amount = scan.amounts[0]
    plain = amount.thing is not Thing.CONTAINERS and amount.other is None
    return amount.grams if plain else None
