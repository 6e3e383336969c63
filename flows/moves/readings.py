"""Digits that can be read in two ways, 1,250 as 1250 or as 1.25: the plants tell which reading can be meant."""

from datetime import date
from decimal import Decimal
from typing import Final

from flows.inputs import Number, Unit
from flows.moves.turn import Moment
from flows.plausible import Doubt, judge

# A hundred tonnes: beyond it the text holds no weight but a telephone number.
HEAVIEST: Final = 100_000_000
_GRAMS_IN: Final = {Unit.GRAM: Decimal(1), Unit.KILO: Decimal(1000), None: Decimal(1000)}


def likeliest(moment: Moment, number: Number, on: date) -> int | None:
    """Return the number as grams picked on a day, None where it can be no weight or two readings are as likely."""
    values = [number.value] if number.other is None else [number.value, number.other]
    readings = [int(value * _GRAMS_IN[number.unit]) for value in values if value < HEAVIEST // 1000]
    return only_likely(moment, on, *readings) if readings else None


def only_likely(moment: Moment, on: date, grams: int, other: int | None = None) -> int | None:
    """Return the one reading of two that the plants can have borne on a day, None where both or neither can be."""
    if other is None:
        return grams
    farmer = moment.someone()
    age = (on - farmer.planted_on).days
    doubts = {one: judge(one, farmer.plants, farmer.weights, age=age).doubt for one in (grams, other)}
    likely = [one for one, doubt in doubts.items() if doubt is Doubt.NONE]
    return likely[0] if len(likely) == 1 else None
