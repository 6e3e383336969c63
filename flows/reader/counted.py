"""Counted plants: a whole number of them, and nothing else said."""

from flows.counting import PlantCount
from flows.inputs import Input
from flows.reader.amounts import Thing
from flows.reader.given import Given


def plant_count(given: Given) -> Input:
    """Read how many plants were counted; with other words, days or weights beside it, it is a sentence."""
    scan = given.scan
    plain = not (given.found.others or scan.question or scan.days or scan.below_zero)
    if plain and not scan.amounts:
        return PlantCount()
    if plain and len(scan.amounts) == 1:
        (amount,) = scan.amounts
        if amount.unit is None and amount.thing in {None, Thing.PLANTS}:
            given.why.append("no number of plants" if amount.count is None else f"{amount.count} plants")
            return PlantCount(plants=amount.count)
    return given.sentence("other words beside the count")
