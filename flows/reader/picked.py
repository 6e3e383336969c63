"""Weights and numbers that come without a command word: "neema 2kg", "nimechuma kilo 4", "3 na robo jana"."""

from dataclasses import replace
from typing import Final

from flows.inputs import Harvest, Input, Number
from flows.reader.amounts import Amount, Thing
from flows.reader.commands import MOST_WORDS, Found
from flows.reader.dates import as_picked
from flows.reader.given import Given
from flows.reader.lexicon import Command, Form
from flows.reader.meanings import harvest
from flows.reader.pack import Intent
from flows.reader.scan import Scan, places_of
from flows.reader.subject import Text
from flows.reader.vowels import shortened
from flows.reader.weights import contained, day_in, doubts_about, of_days, weights_in

# More words beside a report of a picking tell a story for a person.
_MOST_BESIDE_PICKING: Final = 2
# So many words tell a story, however harmless each is.
_MOST_TOLD: Final = 10


def of_one(text: Text) -> Input | None:
    """Read "neema 2kg", "asha 1.5" where several share the phone: a weight of the one who is named."""
    amount = _only_amount(text.scan)
    if not text.named or amount is None or text.scan.days or len(text.situation.people) == 1:
        return None
    if amount.unit is None and not _in_part(amount):
        return None
    text.why.append("a weight and a name")
    doubtful = any(doubts_about(text.scan, [amount]).values())
    return Harvest(grams=amount.grams, unit=amount.unit, other=amount.other_grams, extra=doubtful)


def number(text: Text) -> Input | None:
    """Read a number that, small words aside, is the whole text."""
    amount = _only_amount(text.scan)
    if amount is None or text.scan.days or text.scan.below_zero:
        return None
    text.why.append("the whole message is a number")
    return Number(value=amount.value, other=amount.other, unit=amount.unit)


def _only_amount(scan: Scan) -> Amount | None:
    """Return the amount that, days aside, is all the text says, or None."""
    alone = len(scan.amounts) == 1 and not scan.content and not scan.question
    return scan.amounts[0] if alone and scan.amounts[0].thing != Thing.CONTAINERS else None


def picked(text: Text) -> Input | None:
    """Read "nimechuma kilo 4 leo": a word that reports a picking only where a weight with its unit is beside it."""
    scan = text.scan
    place, said = next(((one, word) for one in scan.content if (word := _reports(scan, one))), (None, None))
    if (
        place is None
        or said is None
        or len(scan.content) > MOST_WORDS
        or not any(amount.unit for amount in scan.amounts)
    ):
        return None
    small = _small(scan) | places_of(scan.tokens, scan.lexicon.beside_picking.people)
    beside = [one for one in scan.content if one != place and one not in small]
    if len(beside) > _MOST_BESIDE_PICKING or scan.has(scan.lexicon.other_goods):
        return None
    language = scan.lexicon.picking.meaning(said)
    command = Command(intent=Intent.HARVEST, word=said, language=language, form=Form.SYNONYM)
    found = Found(command=command, place=place, how="a word for picking", others=())
    given = Given(
        scan=scan, found=found, districts=text.situation.districts, jobs=text.situation.jobs, why=text.why
    )
    text.languages.append(language)
    report = harvest(given)
    # "Nimepata mbolea kilo 10" is no picking: with another word beside it, it is asked.
    return replace(report, extra=report.extra or bool(beside)) if isinstance(report, Harvest) else report


def _reports(scan: Scan, place: int) -> str | None:
    """Return the word for picking that a word is, with or without its vowels."""
    word = scan.word(place)
    return word if word in scan.lexicon.picking else shortened(word, scan.lexicon.picking_bare)


def weight_told(text: Text) -> Input | None:
    """Read "kg 3.2 in store, heavy rain": one weight with its unit, beside it only what changes nothing about it."""
    scan = text.scan
    weights = weights_in(scan)
    if len(weights) != 1 or weights[0].unit is None or scan.question or len(scan.content) > _MOST_TOLD:
        return None
    if contained(scan) or any(
        scan.has(words) for words in (scan.lexicon.negations, scan.lexicon.other_goods)
    ):
        return None
    if not _small(scan).issuperset(scan.content):
        return None
    amount, on = weights[0], day_in(scan)
    text.why.append("a weight, and words that change nothing about it")
    doubts = [doubt for doubt, holds in doubts_about(scan, weights).items() if holds]
    text.why.extend(doubts)
    return Harvest(
        grams=amount.grams,
        on=on,
        unit=amount.unit,
        other=amount.other_grams,
        extra=bool(doubts),
        vague=bool(scan.days) and on is None,
    )


def _small(scan: Scan) -> frozenset[int]:
    """Return the places of words that change nothing about a picking."""
    known = (scan.lexicon.fields, scan.lexicon.picking_beside)
    return frozenset().union(*(places_of(scan.tokens, words) for words in known))


def of_fields(text: Text) -> Input | None:
    """Read "shamba la juu 2kg, la chini 4kg": several weights of several fields, to be asked about."""
    scan = text.scan
    weighed = [amount for amount in scan.amounts if amount.unit]
    fields = scan.has(scan.lexicon.fields)
    if not fields or len(weighed) < 2 or scan.question or len(scan.content) > MOST_WORDS:  # noqa: PLR2004
        return None
    text.why.append("weights of several fields")
    return Harvest(grams=weighed[0].grams, extra=True)


def weight_of_a_day(text: Text) -> Input | None:
    """Read "leo kilo 12": a weight and a past day, and nothing else; or two of each, "8 leo na 6 jana"."""
    if not text.scan.content and not text.scan.question and (both := of_days(text.scan)):
        text.why.append("two weights and their days, no command word")
        return Harvest(grams=both[0][0], on=both[0][1], second=both[1])
    amount = _only_amount(text.scan)
    on = next((day for said in text.scan.days if (day := as_picked(said, text.scan.today))), None)
    if amount is None or on is None or on > text.scan.today:
        return None
    if amount.unit is None and not _in_part(amount):
        return None
    text.why.append("a weight and a day, no command word")
    doubts = [doubt for doubt, holds in doubts_about(text.scan, [amount]).items() if holds]
    text.why.extend(doubts)
    return Harvest(grams=amount.grams, on=on, unit=amount.unit, other=amount.other_grams, extra=bool(doubts))


def _in_part(amount: Amount) -> bool:
    """Return whether a number counts neither jobs nor things: "3 na robo", and no thousand."""
    return amount.value % 1 != 0 and amount.other is None and amount.thing is None
