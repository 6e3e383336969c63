"""The collection of a group's fruit, as it is talked of: what a farmer will bring, and what was kept of that."""

from dataclasses import dataclass
from datetime import date
from typing import TypeAlias


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """The farmer says what they will bring to the next collection.

    Attributes:
        grams: weight in whole grams, or None when none was said.
        on: the day that was named, or None.
        doubtful: True when something in the text makes the weight doubtful, like a second number.
    """

    grams: int | None = None
    on: date | None = None
    doubtful: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Coming:
    """The next collection of a farmer's group.

    Attributes:
        on: its day.
        place: where, in a few words.
        hour: the local hour at which it begins.
        grams: what the farmer has said to bring, None where they have not said.
    """

    on: date
    place: str
    hour: int
    grams: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveEstimate:
    """Keep what a farmer will bring; the last word on a day holds."""

    id: int
    farmer_id: int
    on: date
    grams: int


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidEstimate:
    """What a farmer has said to bring is taken back; an earlier word on that day holds again."""

    id: int
    farmer_id: int


EstimateEffect: TypeAlias = SaveEstimate | VoidEstimate
