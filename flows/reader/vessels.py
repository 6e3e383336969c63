"""Containers: what one holds ("basket = 3 kg", "kikapu ni kilo 3"), and how many were filled."""

from typing import Final

from flows.inputs import Input
from flows.reader.amounts import Amount, Thing
from flows.reader.scan import Scan
from flows.reader.subject import Text
from flows.reader.weights import day_in
from flows.vessels import MOST_FILLED, Filled, Vessel, VesselTold

_EQUALS: Final = "="


def vessel_told(text: Text) -> Input | None:
    """Read what one container holds: its word, something that says "holds", and one weight with its unit.

    "Basket 3 kg" alone may as well be a picking of three kilos, so it is none.
    """
    scan = text.scan
    weights = [amount for amount in scan.amounts if amount.unit]
    places = [place for place in range(len(scan.tokens)) if _vessel_at(scan, place)]
    if len(weights) != 1 or len(scan.amounts) != 1 or len(places) != 1 or scan.days or scan.question:
        return None
    (place,), amount = places, weights[0]
    words = scan.lexicon.vessels
    says = _EQUALS in scan.plain or any(token.key in words.holds for token in scan.tokens)
    beside = (one for one in scan.content if one != place and one not in range(amount.start, amount.end))
    plain = all(scan.word(one) in words.holds or scan.word(one) in words.own for one in beside)
    vessel = _vessel_at(scan, place)
    if vessel is None or not says or not plain or amount.other is not None or place > amount.end:
        return None
    text.why.append(f"what a {vessel} holds")
    return VesselTold(vessel=vessel, grams=amount.grams)


def filled(scan: Scan) -> Filled | None:
    """Read how many containers were picked; None where it is not one number of one kind that we know."""
    counts = [amount for amount in scan.amounts if amount.thing is Thing.CONTAINERS and amount.unit is None]
    if len(counts) != 1 or len(scan.amounts) != 1 or scan.question or scan.below_zero:
        return None
    vessel, count = _counted(scan, counts[0]), counts[0].value
    if vessel is None or not 0 < count <= MOST_FILLED or counts[0].other is not None:
        return None
    on = day_in(scan)
    return Filled(vessel=vessel, count=count, on=on, vague=bool(scan.days) and on is None)


def _counted(scan: Scan, amount: Amount) -> Vessel | None:
    places = range(amount.start, amount.end)
    return next((vessel for place in places if (vessel := _vessel_at(scan, place))), None)


def _vessel_at(scan: Scan, place: int) -> Vessel | None:
    found = scan.lexicon.vessels.kinds.at(scan.tokens, place)
    return found[1] if found else None
