"""What is asked of the database about a farmer's own water: what it is given with, and the rain gauge."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from flows.watering import Means


@dataclass(frozen=True, kw_only=True, slots=True)
class SavedRain:
    """What a gauge was said to hold, in tenths of a millimetre; UNDO can take it back."""

    id: int
    farmer_id: int
    on: date
    tenths: int
    at: datetime


class Watering(Protocol):
    """What water is given with, and rain gauges."""

    def means_of(self, farmer_id: int) -> tuple[Means, int] | None:
        """Return what a farmer gives water with, and its millilitres; None where nobody told."""
        ...

    def set_means(self, farmer_id: int, means: Means, millilitres: int, at: datetime) -> None: ...

    def rain(self, farmer_id: int, first: date, last: date) -> Mapping[date, int]:
        """Return tenths of a millimetre by day: the last report of each day that was not taken back."""
        ...

    def add_rain(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        farmer_id: int,
        day: date,
        tenths_mm: int,
        inbound_id: int,
        phone_id: int,
        at: datetime,
    ) -> None: ...

    def void_rain(self, report_id: int, inbound_id: int) -> None: ...

    def last_rain(self, phone_id: int, since: datetime) -> SavedRain | None:
        """Return the last report of a phone since then that was not taken back."""
        ...
