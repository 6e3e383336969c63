"""What a report of a picking says of weights and days, and what makes a weight doubtful."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Final

from flows.reader.amounts import Amount, Thing
from flows.reader.dates import as_picked
from flows.reader.normalise import Kind
from flows.reader.scan import Scan

Picking = tuple[int, date]
# "S.5 kg" is no half of what it seems to be: five and a half.
# The last hour of a day; more, behind "at", is a price.
_MOST_COUNTED: Final = 24
# Nine figures or more behind a nought or a plus, in groups or not.
_PHONE: Final = re.compile(r"(?<![\d.,])(?:\+|0)\d(?:[ -]?\d){7,13}(?![\d.,])")
_LETTER_FOR_FIGURE: Final = re.compile(r"(?<!\w)[^\W\d_][.,]\d")


def of_days(scan: Scan) -> tuple[Picking, Picking] | None:
    """Return two weights in grams with their days, where each weight stands beside a day of its own."""
    days = [(said, on) for said in scan.days if (on := as_picked(said, scan.today)) and on <= scan.today]
    weights = scan.amounts
    if len(weights) != 2 or len(days) != 2 or any(amount.thing for amount in weights):  # noqa: PLR2004
        return None
    starts = sorted(
        [(amount.start, "weight") for amount in weights] + [(said.start, "day") for said, _ in days]
    )
    kinds = [kind for _, kind in starts]
    if kinds not in (["weight", "day"] * 2, ["day", "weight"] * 2) or days[0][1] == days[1][1]:
        return None
    return (weights[0].grams, days[0][1]), (weights[1].grams, days[1][1])


def weights_in(scan: Scan) -> list[Amount]:
    """Return the amounts that may be weights: not those that count people, hours or rows, or belong to a phone."""
    phones = [found.span() for found in _PHONE.finditer(scan.plain)]
    return [
        amount
        for amount in scan.amounts
        if amount.thing is None
        and (amount.unit or not (_counts(scan, amount) or _of_phone(scan, amount, phones)))
    ]


def _counts(scan: Scan, amount: Amount) -> bool:
    words, tokens = scan.lexicon.beside_picking, scan.tokens
    if amount.value > _MOST_COUNTED:
        return False
    before = amount.start > 0 and tokens[amount.start - 1].key in words.counted_before
    return before or words.counted_behind.at(tokens, amount.end) is not None


def _of_phone(scan: Scan, amount: Amount, phones: list[tuple[int, int]]) -> bool:
    end = scan.tokens[amount.end - 1].end
    return any(start < end <= stop for start, stop in phones)


def day_in(scan: Scan) -> date | None:
    """Return the first single day of a picking that is named."""
    return next((day for said in scan.days if (day := as_picked(said, scan.today))), None)


def doubts_about(scan: Scan, weights: list[Amount]) -> Mapping[str, bool]:
    """Return what can make a weight doubtful, in words, and whether it does."""
    first = weights[0]
    halves = {day.start for day in scan.weak_days if scan.tokens[day.start].kind is Kind.PAIR}
    return {
        "more than one number": len(weights) > 1,
        "asked rather than told": scan.question,
        "a day ahead": any((as_picked(day, scan.today) or scan.today) > scan.today for day in scan.days),
        "a fraction that may be a day": first.unit is None and first.start in halves,
        "a number below zero": scan.below_zero,
        "the weight of one among several": scan.has(scan.lexicon.beside_picking.each),
        "something else that is weighed": scan.has(scan.lexicon.other_goods),
        "a letter for a figure": _LETTER_FOR_FIGURE.search(scan.plain) is not None,
        "a part of something that is not said": _part_of_what(scan, first),
    }


def _part_of_what(scan: Scan, amount: Amount) -> bool:
    """Return whether a weight is only "half": of a kilo, a bucket, or of what was there."""
    parts = scan.lexicon.fractions.at(scan.tokens, amount.start)
    return amount.unit is None and parts is not None and parts[0] == amount.end


def contained(scan: Scan) -> bool:
    """Return whether things that fruit is picked into are counted."""
    return any(amount.thing is Thing.CONTAINERS for amount in scan.amounts)
