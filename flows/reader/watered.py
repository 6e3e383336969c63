"""Water: a wish to know how much, what it is given with, and what a rain gauge held.

Both words are everyday ones. They count where they are all that is said, or stand with nothing but a can and its
size, a drip and its flow, or a figure of rain and its day. Whatever else is said of water goes to a person; of rain
people talk much.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from flows.inputs import Input, Words
from flows.reader.about_jobs import done
from flows.reader.amounts import Amount
from flows.reader.given import Given
from flows.reader.normalise import Kind
from flows.reader.pack import Intent
from flows.reader.scan import Scan
from flows.reader.weights import day_in
from flows.watering import Rain, Water

# Litres that something holds which a person carries water in. Less is a number of cans, more a tank.
_CANS: Final = (Decimal(3), Decimal(100))
# Litres that one plant gets of a drip line in an hour.
_DRIPS: Final = (Decimal("0.1"), Decimal(20))
_MILLILITRES: Final = 1000
_TENTHS: Final = 10


def water(given: Given) -> Input:
    """Read a wish for today's water, with the farmer's can or drip where it is told."""
    scan, others = given.scan, given.found.others
    finished = next((place for place in others if _is(scan, place, Intent.DONE)), None)
    if finished is not None:
        rest = (given.found.place, *(place for place in others if place != finished))
        return done(replace(given, found=replace(given.found, place=finished, others=rest)))
    if not others and not scan.amounts and not _past(scan):
        return Water()
    told = _told(scan, others)
    if told is None:
        return _about_water(given)
    given.why.append(f"a can of {told.can_ml} ml" if told.can_ml else f"drip of {told.drip_ml_h} ml an hour")
    return told


def _past(scan: Scan) -> bool:
    return any(said.on is None or said.on < scan.today for said in scan.days)


def _told(scan: Scan, others: Sequence[int]) -> Water | None:
    """Return what water is given with: its word and one figure, "debe 20", "can of 20 litres", "drip 2 lph"."""
    words = scan.lexicon.water
    beside = (words.cans, words.drips, words.litres, words.hours)
    plain = all(any(scan.word(place) in known for known in beside) for place in others)
    if not plain or len(scan.amounts) != 1 or scan.days or scan.below_zero or scan.amounts[0].unit:
        return None
    amount = scan.amounts[0]
    about = sorted({*others, *range(amount.start, amount.end)})
    figure = next((place for place in about if scan.tokens[place].kind is not Kind.WORD), amount.start)
    sized = any(scan.word(place) in words.litres for place in about)
    cans, drips = ([place for place in about if scan.word(place) in known] for known in beside[:2])
    # "2 buckets" are no size of one: the word stands before its figure, or litres are said.
    if not (sized or min((*cans, *drips), default=figure) < figure):
        return None
    can_ml = _millilitres(amount, _CANS) if cans and not drips else None
    drip_ml_h = _millilitres(amount, _DRIPS) if drips and not cans else None
    return Water(can_ml=can_ml, drip_ml_h=drip_ml_h) if can_ml or drip_ml_h else None


def _millilitres(amount: Amount, possible: tuple[Decimal, Decimal]) -> int | None:
    """Return what is possible to the tenth of a litre, as it is written in an answer."""
    low, high = possible
    return _tenths(amount) * _MILLILITRES // _TENTHS if low <= amount.value <= high else None


def rain(given: Given) -> Input:
    """Read what a rain gauge held, and on which day."""
    scan = given.scan
    beside = (place for place in given.found.others if not _is(scan, place, Intent.RAIN))
    counted = any(amount.unit or amount.thing for amount in scan.amounts)
    if scan.question or counted or not all(_of_gauge(scan, place) for place in beside):
        return given.sentence("other words beside rain")
    on = day_in(scan)
    clear = len(scan.amounts) == 1 and not scan.below_zero and not _halved(scan)
    tenths = _tenths(scan.amounts[0]) if clear else None
    given.why.append("no clear figure" if tenths is None else f"{tenths} tenths of a millimetre")
    return Rain(tenths=tenths, on=on, vague=bool(scan.days) and on is None)


def _of_gauge(scan: Scan, place: int) -> bool:
    word = scan.word(place)
    return word in scan.lexicon.water.millimetres or word in scan.lexicon.water.gauges


def _halved(scan: Scan) -> bool:
    """Return whether a figure may as well be a day: 5/11."""
    return any(scan.tokens[day.start].kind is Kind.PAIR for day in scan.weak_days)


def _tenths(amount: Amount) -> int:
    return int((amount.value * _TENTHS).to_integral_value(ROUND_HALF_UP))


def _is(scan: Scan, place: int, intent: Intent) -> bool:
    command = scan.lexicon.commands.get(scan.word(place))
    return command is not None and command.intent is intent


def _about_water(given: Given) -> Words:
    """Return a text about water as a question: there is no other word for it, and somebody should hear of it."""
    told = given.sentence("other words beside water")
    bare = not given.found.others or given.scan.has(given.scan.lexicon.negations)
    return told if bare else replace(told, question=True)
