"""A group's collection days: which they are, with those called off or moved, and what is delivered and paid."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Final

# So far ahead is looked for the next day of a collection that has begun: a day may be called off several times in a row.
LOOK_AHEAD: Final = timedelta(days=60)
_WEEK: Final = 7


class WhyRejected(StrEnum):
    """Why fruit was not accepted."""

    SPRAY = "spray"
    UNRIPE = "unripe"
    OVERRIPE = "overripe"
    MOULD = "mould"
    DAMAGED = "damaged"
    DIRTY = "dirty"
    SMALL = "small"
    OTHER = "other"


@dataclass(frozen=True, kw_only=True, slots=True)
class Collection:
    """The days on which a group's fruit is collected.

    Attributes:
        weekdays: counted from Monday, 0.
        hour: the local hour at which it begins.
        last_on: None where no end is set.
        changes: days that are not as the weekdays say; a day called off has None, a moved one its new day.
    """

    id: int
    group_id: int
    group: str
    district_id: int
    district: str
    zone: str
    place: str
    weekdays: frozenset[int]
    hour: int
    first_on: date
    last_on: date | None
    changes: Mapping[date, date | None] = field(default_factory=dict)

    def is_on(self, day: date) -> bool:
        """Return whether fruit is collected on a day."""
        return (self.is_planned(day) and day not in self.changes) or day in self.changes.values()

    def is_planned(self, day: date) -> bool:
        """Return whether a day is one by the weekdays, whatever has become of it."""
        within = self.first_on <= day and (self.last_on is None or day <= self.last_on)
        return within and day.weekday() in self.weekdays

    def days(self, first: date, last: date) -> Iterator[date]:
        """Walk through the days of the collection from `first` to `last`, both included."""
        every = (first + timedelta(days=step) for step in range((last - first).days + 1))
        return (day for day in every if self.is_on(day))

    def next_on(self, first: date) -> date | None:
        """Return the first day of the collection from `first` on, None where none is in sight."""
        return next(self.days(first, max(first, self.first_on) + LOOK_AHEAD), None)

    @property
    def weekday_mask(self) -> int:
        """The weekdays as bits, bit 0 is Monday."""
        return sum(1 << weekday for weekday in self.weekdays)

    @property
    def eves(self) -> frozenset[int]:
        """The weekdays before those of the collection: on their evenings farmers are asked."""
        return frozenset((weekday - 1) % _WEEK for weekday in self.weekdays)

    def leads(self, day: date) -> bool:
        """Return whether the plots of the group follow this collection on a day: from the first evening to the end."""
        return self.first_on - timedelta(days=1) <= day and (self.last_on is None or day <= self.last_on)


@dataclass(frozen=True, kw_only=True, slots=True)
class SavedEstimate:
    """What a farmer said to bring, in grams; UNDO can take it back."""

    id: int
    farmer_id: int
    on: date
    grams: int
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Delivery:
    """What a farmer brought to a collection: weights in grams, money as `flows.money` counts it."""

    id: int
    collection_id: int
    farmer_id: int
    day: date
    accepted_g: int
    rejected_g: int
    reason: WhyRejected | None
    words: str
    under_hold: bool
    price: int
    amount: int
    currency: str
    officer_id: int
    at: datetime
    payment_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Payment:
    """Money that a farmer was paid for deliveries."""

    id: int
    farmer_id: int
    amount: int
    currency: str
    paid_on: date
    officer_id: int
    at: datetime
