"""What an officer can be understood to have said on their own phone, beside what anybody says."""

from dataclasses import dataclass
from datetime import date


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
