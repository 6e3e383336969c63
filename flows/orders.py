"""What an officer or a clerk can be understood to have said on their own phone, beside what anybody says."""

from dataclasses import dataclass
from datetime import date
from typing import TypeAlias


@dataclass(frozen=True, kw_only=True)
class Counts:
    """An officer asks for the counts of today."""


@dataclass(frozen=True, kw_only=True)
class Warn:
    """An officer wants a district warned by a pre-approved text; what was not said is None.

    Attributes:
        template: the text's name.
        on: the day it speaks of.
        figure: its figure, below zero where a minus stood before it.
        district: one of the situation's districts.
    """

    template: str | None = None
    on: date | None = None
    figure: int | None = None
    district: str | None = None


@dataclass(frozen=True, kw_only=True)
class Basket:
    """A clerk notes what a farmer brought to today's collection; what was not said for sure is None.

    Attributes:
        row: the farmer's number on the list of the day.
        accepted: grams.
        rejected: grams that are not accepted.
        reason: why not, one of `flows.collection_texts.REASONS`.
    """

    row: int | None = None
    accepted: int | None = None
    rejected: int = 0
    reason: str | None = None


Order: TypeAlias = Counts | Warn | Basket


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeBasket:
    """A clerk's basket is to be kept, `sure` once they have said that it is right; they are told what came of it."""

    row: int
    accepted: int
    rejected: int
    reason: str | None
    sure: bool = False
