"""Numbers with their unit of weight: kilo 7 na robo, 12,5 kg, half a kilo, 12 kg 500 g."""

import re
from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Final

from flows.inputs import Unit
from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Token
from flows.reader.numbers import number_at


class Thing(StrEnum):
    """What a number counts when it is no weight."""

    PLANTS = "plants"
    CONTAINERS = "containers"


_GRAMS: Final = {Unit.KILO: 1000, Unit.GRAM: 1}


@dataclass(frozen=True, kw_only=True, slots=True)
class Amount:
    """A number, its unit and where it stands.

    Attributes:
        value: the likelier reading.
        other: a second reading, or None.
        unit: the unit of weight said with it, or None.
        start: the place of its first token.
        end: the place of the first token after it.
        thing: what is counted when it is no weight, or None.
    """

    value: Decimal
    other: Decimal | None
    unit: Unit | None
    start: int
    end: int
    thing: Thing | None = None

    @property
    def grams(self) -> int:
        """The weight in whole grams; a number without a unit is in kilos."""
        return self._in_grams(self.value)

    @property
    def other_grams(self) -> int | None:
        """The second reading in whole grams, None where there is none."""
        return None if self.other is None else self._in_grams(self.other)

    def _in_grams(self, value: Decimal) -> int:
        return int((value * _GRAMS[self.unit or Unit.KILO]).to_integral_value(ROUND_HALF_UP))

    @property
    def count(self) -> int | None:
        """The number as a count of things, or None when it is not whole and above zero."""
        # Nobody counts plants in thousandths, so 1,200 is twelve hundred here; number words keep their value.
        value = self.other if self.other is not None and self.value % 1 else self.value
        return int(value) if value > 0 and value % 1 == 0 else None


def amounts(tokens: Sequence[Token], lexicon: Lexicon, taken: AbstractSet[int]) -> tuple[Amount, ...]:
    """Return every amount outside the places in `taken`, kilos and grams side by side as one."""
    found: list[Amount] = []
    place = 0
    while place < len(tokens):
        amount = None if place in taken else amount_at(tokens, place, lexicon)
        if amount is None or not taken.isdisjoint(range(amount.start, amount.end)):
            place += 1
            continue
        place = amount.end
        if found and _kilos_and_grams(found[-1], amount, tokens, lexicon):
            found[-1] = _together(found[-1], amount)
        else:
            found.append(amount)
    return tuple(found)


def amount_at(tokens: Sequence[Token], start: int, lexicon: Lexicon) -> Amount | None:
    """Return the amount that begins at `start`, or None."""
    front = lexicon.units.at(tokens, start) or (start, None)
    place, unit = front
    thing_place, thing = _thing(tokens, place, lexicon)
    spoken = number_at(tokens, thing_place, lexicon)
    if spoken is not None:
        value, other, place = spoken.value, spoken.other, spoken.end
    elif unit is not None and _tail(tokens, place, lexicon)[1]:
        value, other = Decimal(1), None  # "kilo na nusu" is one and a half
    else:
        return None
    place, extra = _tail(tokens, place, lexicon)
    if unit is None and (behind := lexicon.units.at(tokens, place)):
        place, unit = behind
    place, late = (place, Decimal(0)) if extra else _tail(tokens, place, lexicon)
    place, thing = (place, thing) if thing else _thing(tokens, place, lexicon)
    total = value + extra + late
    return Amount(
        value=total, other=other if total == value else None, unit=unit, start=start, end=place, thing=thing
    )


def _tail(tokens: Sequence[Token], place: int, lexicon: Lexicon) -> tuple[int, Decimal]:
    """Read "and a half", "na robo tatu", "kasorobo": return where it ends and what it adds."""
    less = lexicon.less.at(tokens, place)
    if less is not None:
        return less[0], -less[1]
    more = lexicon.more.at(tokens, place)
    if more is not None:
        return more
    joined = lexicon.joiners.at(tokens, place)
    part = lexicon.fractions.at(tokens, joined[0]) if joined else None
    return part or (place, Decimal())


def _thing(tokens: Sequence[Token], place: int, lexicon: Lexicon) -> tuple[int, Thing | None]:
    """Read the word for what is counted beside a number."""
    for name, words in ((Thing.PLANTS, lexicon.plants), (Thing.CONTAINERS, lexicon.containers)):
        hit = words.at(tokens, place)
        if hit is not None:
            return hit[0], name
    return place, None


def _kilos_and_grams(kilos: Amount, grams: Amount, tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    joined = lexicon.joiners.at(tokens, kilos.end)
    near = grams.start in {kilos.end, joined[0] if joined else kilos.end}
    weighs = grams.unit is Unit.GRAM or _glued(tokens, grams)
    return near and kilos.unit is Unit.KILO and weighs and grams.value < _GRAMS[Unit.KILO]


def _glued(tokens: Sequence[Token], grams: Amount) -> bool:
    """Return whether three figures follow a unit without a space, as in "11kg700"; apart they may be a price."""
    token, before = tokens[grams.start], tokens[grams.start - 1]
    three = (
        grams.unit is None and grams.end == grams.start + 1 and re.fullmatch(r"\d{3}", token.key) is not None
    )
    return three and token.end - len(token.raw) == before.end


def _together(kilos: Amount, grams: Amount) -> Amount:
    return Amount(
        value=kilos.value + grams.value / _GRAMS[Unit.KILO],
        other=kilos.other or grams.other,
        unit=Unit.KILO,
        start=kilos.start,
        end=grams.end,
    )
