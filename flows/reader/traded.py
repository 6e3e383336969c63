"""Money as it is told: a sale, a cost, a wish for prices.

Two numbers beside "sold" are kilos and money. Whether that money was for each kilo or for all of them is taken from
words that say so, or from three figures that fit each other; it is guessed from nothing else here.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final

from flows.inputs import Input
from flows.reader.amounts import Amount
from flows.reader.dates import as_picked
from flows.reader.given import Given
from flows.reader.normalise import Kind
from flows.reader.phrases import Phrases
from flows.reader.scan import Scan
from flows.reader.spraying import counted_days
from flows.trading import Cost, CostKind, Price, Sold, Worth

# More words beside a sale than a buyer's name tell a story for a person.
_MOST_BESIDE: Final = 3
_MOST_OF_BUYER: Final = 2
LONGEST_BUYER: Final = 24
_GRAMS_A_KILO: Final = 1000
_GROUP: Final = 3
_A_KILO: Final = re.compile(r"^/\s*[^\W\d]")


@dataclass(frozen=True, kw_only=True, slots=True)
class _Figure:
    """A number that may be money, and whether a word beside it says so."""

    value: Decimal
    marked: bool
    places: range


def sale(given: Given) -> Input:
    """Read a sale: its weight, its money and what that was for, its day and who bought."""
    scan = given.scan
    if scan.question or scan.below_zero or scan.has(scan.lexicon.negations):
        return given.sentence("a question or a no beside a sale")
    words = scan.lexicon.money
    each = _spans(scan, words.each)
    weights, figures = _told(scan, each)
    per_kilo = bool(each) or any(_by_kilo(scan, amount) for amount in scan.amounts)
    buyer, left = _buyer(scan, _left(scan, given.found.others))
    if len(left) > _MOST_BESIDE or (left and not scan.amounts):
        return given.sentence("a sentence about selling")
    on, vague = _day(scan)
    grams, amount, worth = _parted(weights, figures)
    worth = worth or _worth(each=per_kilo, for_all=scan.has(words.for_all))
    given.why.append(
        "without its kilos or its money" if None in {grams, amount} else f"{grams} g for {amount}"
    )
    return Sold(grams=grams, amount=amount, worth=worth, on=on, vague=vague, buyer=buyer)


def cost(given: Given) -> Input:
    """Read a cost: what for, how much and when."""
    scan = given.scan
    if scan.question or scan.below_zero or scan.has(scan.lexicon.negations):
        return given.sentence("a question or a no beside a cost")
    words = scan.lexicon.money
    hits = (words.costs.at(scan.tokens, place) for place in range(len(scan.tokens)))
    named_kinds = {hit[1] for hit in hits if hit}
    # "Bags of manure" are manure.
    kinds = named_kinds - {CostKind.PACKING} or named_kinds
    named = _places(_spans(scan, words.costs))
    left = [place for place in _left(scan, given.found.others) if place not in named]
    plain = [amount for amount in scan.amounts if not amount.unit and not amount.thing]
    # "Miche 60000" is money for plants, "200 seedlings" is a count of them.
    things = [
        amount for amount in scan.amounts if amount.thing and scan.tokens[amount.start].kind is Kind.WORD
    ]
    figures = _figures(scan, plain or things)
    if len(left) > _MOST_BESIDE or (len(left) > 1 and not figures):
        return given.sentence("a sentence about paying")
    # What is paid by the piece, or for two things, cannot be told apart from what was paid in all.
    clear = len(figures) == 1 and len(kinds) <= 1 and not scan.has(words.each)
    amount = figures[0].value if clear else None
    kind = next(iter(kinds), CostKind.OTHER if left else None) if len(kinds) <= 1 else None
    on, vague = _day(scan)
    given.why.append(f"{kind}, {amount}")
    return Cost(kind=kind, amount=amount, on=on, vague=vague)


def prices(given: Given) -> Input:
    """Read a wish for prices: with any other word beside it, it is a sentence about one."""
    scan = given.scan
    known = _places(_spans(scan, scan.lexicon.money.beside) + _spans(scan, scan.lexicon.questions))
    if not scan.amounts and known.issuperset(given.found.others):
        return Price()
    told = given.sentence("other words beside a price")
    # What else is said of prices somebody should hear of; a price itself is told by officers.
    return replace(told, question=True) if not scan.amounts else told


def worth_in(scan: Scan) -> Worth | None:
    """Return what an answer says that money was paid for."""
    words = scan.lexicon.money
    return _worth(each=scan.has(words.each), for_all=scan.has(words.for_all))


def _worth(*, each: bool, for_all: bool) -> Worth | None:
    """Return what is said; both at once say nothing."""
    if each == for_all:
        return None
    return Worth.EACH if each else Worth.ALL


def _by_kilo(scan: Scan, amount: Amount) -> bool:
    """Return whether a number is a price by the kilo: 2500/kg."""
    first, last = scan.tokens[amount.start], scan.tokens[amount.end - 1]
    return amount.unit is not None and _A_KILO.search(scan.plain[first.end : last.end]) is not None


def _told(scan: Scan, each: Sequence[range]) -> tuple[list[int | None], list[_Figure]]:
    """Return what weighs, in grams, and what may be money; a weight whose digits may be thousands is None.

    "Kwa kilo 2500" is a price and no weight, and in "kilo moja 2500" one kilo is no weight but what the price is for:
    unless it is the only one.
    """
    inside = _places(each)
    weighed = [amount for amount in scan.amounts if amount.unit and not _by_kilo(scan, amount)]
    whole = [amount for amount in weighed if inside.issuperset(range(amount.start, amount.end))]
    told = [amount for amount in weighed if amount.start not in inside] or whole
    priced = [amount for amount in weighed if amount.start in inside and amount not in whole]
    priced += [amount for amount in scan.amounts if _by_kilo(scan, amount)]
    plain = [amount for amount in scan.amounts if not amount.unit and not amount.thing]
    figures = _figures(scan, sorted((*plain, *priced), key=lambda amount: amount.start))
    return [None if amount.other_grams else amount.grams for amount in told], figures


def _parted(
    weights: Sequence[int | None], figures: Sequence[_Figure]
) -> tuple[int | None, Decimal | None, Worth | None]:
    """Return grams, money and, where three figures fit, what that was paid for."""
    rest = list(figures)
    if not weights and len(rest) > 1:
        # No unit was said: the kilos are the first number that nothing calls money.
        kilos = next((figure for figure in rest if not figure.marked), rest[0])
        rest.remove(kilos)
        weights = [int(kilos.value * _GRAMS_A_KILO)]
    grams = weights[0] if len(weights) == 1 else None
    if grams is None or not rest:
        return grams, None, None
    if len(rest) == 1:
        return grams, rest[0].value, None
    low, high = sorted(figure.value for figure in rest)[:2]
    fits = len(rest) == 2 and low * grams == high * _GRAMS_A_KILO  # noqa: PLR2004 - for each and for all
    return (grams, high, Worth.ALL) if fits else (grams, None, None)


def _figures(scan: Scan, amounts: Sequence[Amount]) -> list[_Figure]:
    """Return the numbers that may be money; "30 000" is one, and "30k", "laki 2" are thousands of them."""
    found: list[_Figure] = []
    for amount in amounts:
        before = found[-1] if found else None
        if before and before.places.stop == amount.start and _is_group(scan, amount):
            value = before.value * 10**_GROUP + amount.value
            found[-1] = _Figure(
                value=value, marked=before.marked, places=range(before.places.start, amount.end)
            )
            continue
        by, marked = _beside(scan, amount)
        found.append(
            _Figure(value=_money(scan, amount) * by, marked=marked, places=range(amount.start, amount.end))
        )
    return found


def _is_group(scan: Scan, amount: Amount) -> bool:
    """Return whether a number is three figures that may end the number before it: the "000" of "30 000"."""
    token = scan.tokens[amount.start]
    before = scan.tokens[amount.start - 1]
    short = before.kind is Kind.DIGITS and before.key.isdecimal() and len(before.key) <= _GROUP
    return short and amount.end == amount.start + 1 and token.key.isdecimal() and len(token.key) == _GROUP


def _money(scan: Scan, amount: Amount) -> Decimal:
    """Return a number as money: nobody pays in thousandths, so 30,000 and 30.000 are thirty thousand."""
    typed = scan.tokens[amount.end - 1].kind is Kind.DIGITS
    return amount.other if typed and amount.other is not None else amount.value


def _beside(scan: Scan, amount: Amount) -> tuple[int, bool]:
    """Return what multiplies a number, and whether a word beside it calls it money."""
    words, tokens = scan.lexicon.money, scan.tokens
    around = [tokens[place].key for place in (amount.start - 1, amount.end) if 0 <= place < len(tokens)]
    by = next((words.scales[key] for key in around if key in words.scales), 1)
    marked = any(key in words.currency for key in around)
    return by, marked or by > 1


def _left(scan: Scan, others: Sequence[int]) -> list[int]:
    """Return the words that say nothing of money, weights or days."""
    words = scan.lexicon.money
    known = _places(
        _spans(scan, words.each)
        + _spans(scan, words.for_all)
        + _spans(scan, words.currency)
        + _spans(scan, words.beside)
        + _spans(scan, scan.lexicon.containers)
    )
    return [place for place in others if place not in known and scan.word(place) not in words.scales]


def _buyer(scan: Scan, left: list[int]) -> tuple[str | None, list[int]]:
    """Return who bought, as typed, and the words that are not their name: those behind "to" or "kwa"."""
    for place in left:
        start = place
        while start > 0 and _is_of_name(scan, start - 1):
            start -= 1
        if start and scan.word(start - 1) in scan.lexicon.money.to:
            end = place + 1
            while end in left and end - place < _MOST_OF_BUYER:
                end += 1
            name = " ".join(token.raw for token in scan.tokens[start:end])
            return name[:LONGEST_BUYER].strip(), [one for one in left if not place <= one < end]
    return None, left


def _is_of_name(scan: Scan, place: int) -> bool:
    """Return whether a word may stand between "to" and a name: "to mama Asha", "to the hotel"."""
    word = scan.word(place)
    small = scan.tokens[place].kind is Kind.WORD and word not in scan.lexicon.money.to
    return small and (word in scan.lexicon.greetings or word in scan.lexicon.function)


def _day(scan: Scan) -> tuple[date | None, bool]:
    """Return the day that is named, and whether a time was said that is none; "3 days" of work are no day."""
    days = [said for said in scan.days if counted_days(scan, said) is None]
    on = next((day for said in days if (day := as_picked(said, scan.today))), None)
    return on, bool(days) and on is None


def _spans(scan: Scan, phrases: Phrases[CostKind] | Phrases[None]) -> list[range]:
    """Return every stretch of a text that one of `phrases` covers."""
    hits = ((place, phrases.at(scan.tokens, place)) for place in range(len(scan.tokens)))
    return [range(place, hit[0]) for place, hit in hits if hit]


def _places(spans: Sequence[range]) -> frozenset[int]:
    return frozenset(place for span in spans for place in span)
