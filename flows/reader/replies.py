"""Short replies that need no command word: a greeting, "nothing was picked", a weight put right."""

from flows.inputs import Harvest, Unit
from flows.reader.amounts import Amount
from flows.reader.dates import as_picked
from flows.reader.normalise import Kind
from flows.reader.pack import Intent
from flows.reader.scan import Scan, places_of
from flows.remarks import Correct, Greeting


def greeting(scan: Scan) -> Greeting | None:
    """Read a text that only greets or thanks."""
    if (
        scan.content
        or scan.amounts
        or scan.question
        or any(token.kind is not Kind.WORD for token in scan.tokens)
    ):
        return None
    thanks = scan.has(scan.lexicon.thanks)
    return Greeting(thanks=thanks) if thanks or scan.has(scan.lexicon.greetings) else None


def no_harvest(scan: Scan) -> Harvest | None:
    """Read "sijavuna", "nothing was ripe yesterday": a picking of nothing, on a day that may be named."""
    hit = scan.lexicon.no_harvest.first(scan.tokens)
    if hit is None or scan.amounts or scan.question:
        return None
    beside = (place for place in scan.content if place not in range(*hit))
    if any(scan.word(place) not in scan.lexicon.negations for place in beside):
        return None
    on = next((day for said in scan.days if (day := as_picked(said, scan.today))), None)
    return Harvest(grams=0, on=on, vague=bool(scan.days) and on is None)


def correction(scan: Scan) -> Correct | None:
    """Read "no, it is 8.5, not 7.5", "siyo 7.5 ni 8.5", "no 8.5"."""
    weights = [amount for amount in scan.amounts if amount.thing is None]
    if not scan.amounts or scan.days or scan.question or scan.below_zero:
        return None
    mending = places_of(scan.tokens, scan.lexicon.correcting)
    plain = all(
        place in mending
        or _denies(scan, place)
        or scan.word(place) in scan.lexicon.between
        or (mending and scan.word(place) in scan.lexicon.picking)
        for place in scan.content
    )
    if not plain or len(weights) != len(scan.amounts):
        return None
    if len(weights) == 1:
        return (
            Correct(grams=weights[0].grams)
            if _begins_with_no(scan) or (weights[0].unit and _begins_right(scan))
            else None
        )
    return put_right(scan, weights)


def put_right(scan: Scan, weights: list[Amount]) -> Correct | None:
    """Return which of two weights stands instead of the other: "it is 8.5, not 7.5"."""
    denied = [amount for amount in weights if amount.start and _denies(scan, amount.start - 1)]
    if len(weights) != 2 or not denied:  # noqa: PLR2004 - what is right and what is wrong
        return None
    wrong = denied[-1]
    right = next(amount for amount in weights if amount is not wrong)
    return Correct(grams=right.grams, instead=_in_same_unit(wrong, right))


def _denies(scan: Scan, place: int) -> bool:
    return scan.word(place) in scan.lexicon.negations


def _begins_with_no(scan: Scan) -> bool:
    command = scan.lexicon.commands.get(scan.word(0))
    return command is not None and command.intent is Intent.NO


def _begins_right(scan: Scan) -> bool:
    """Return whether the text begins by putting something right, greetings and small words aside."""
    return bool(scan.content) and scan.lexicon.correcting.at(scan.tokens, scan.content[0]) is not None


def _in_same_unit(wrong: Amount, right: Amount) -> int:
    """Return the wrong weight in grams, in the unit of the right one where it has none of its own."""
    return int(wrong.value) if wrong.unit is None and right.unit is Unit.GRAM else wrong.grams
