"""What a clerk notes at the scales: "scale 7 12.5 1 mould" is number 7 of the list, kilos accepted, kilos not, why."""

from typing import Final

from flows.inputs import Input, Unit
from flows.orders import Basket
from flows.reader.given import Given
from flows.reader.scan import Scan

# A number of the list and one weight or two.
_FEWEST: Final = 2
_MOST: Final = 3


def basket(given: Given) -> Input:
    """Read a basket; one figure, or words about scales, are a sentence."""
    scan = given.scan
    figures = [amount for amount in scan.amounts if amount.thing is None]
    if not figures and not given.found.others and not scan.question:
        given.why.append("without its figures")
        return Basket()
    why, named = _reason(scan)
    beside = [place for place in given.found.others if place not in named]
    if scan.question or scan.has(scan.lexicon.negations) or beside or len(figures) < _FEWEST:
        return given.sentence("a sentence about scales")
    row, *weights = figures
    sure = row.unit is None and row.count is not None and row.other is None and not scan.below_zero
    doubtful = any(weight.other is not None or weight.unit is Unit.GRAM for weight in weights)
    if not sure or doubtful or len(figures) > _MOST:
        given.why.append("its figures cannot be told apart for sure")
        return Basket()
    given.why.append(f"number {row.count}, {weights[0].grams} g")
    return Basket(
        row=row.count,
        accepted=weights[0].grams,
        rejected=weights[1].grams if len(weights) > 1 else 0,
        reason=why,
    )


def _reason(scan: Scan) -> tuple[str | None, range]:
    """Return why fruit is not accepted, and the words that say so."""
    reasons = scan.lexicon.money.rejected
    hits = ((place, reasons.at(scan.tokens, place)) for place in range(len(scan.tokens)))
    place, hit = next(((place, hit) for place, hit in hits if hit), (0, None))
    return (hit[1], range(place, hit[0])) if hit else (None, range(0))
