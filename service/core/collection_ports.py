"""What the use cases ask of the database about collections: their days, what will come, what came, and what was paid."""

from collections.abc import Collection as Several
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, Unpack

from service.core.collecting import Collection, Delivery, Payment, SavedEstimate
from service.core.columns import CollectionPlan, NewCollection
from service.core.model import Plot


@dataclass(frozen=True, kw_only=True, slots=True)
class Member:
    """A farmer of a group who is texted now, and where."""

    farmer_id: int
    name: str
    language: str
    zone: str
    phone_id: int


class Collections(Protocol):
    """Collection days, and the plots that follow them."""

    def add(self, **values: Unpack[NewCollection]) -> int: ...
    def set(self, collection_id: int, **values: Unpack[CollectionPlan]) -> None: ...
    def get(self, collection_id: int) -> Collection | None: ...
    def of_zone(self, zone: str) -> tuple[Collection, ...]: ...
    def of_group(self, group_id: int) -> tuple[Collection, ...]: ...
    def in_districts(self, districts: Several[int] | None) -> tuple[Collection, ...]: ...

    def change(
        self, collection_id: int, day: date, moved_to: date | None, *, officer_id: int, at: datetime
    ) -> None:
        """Let a day be called off or held on another; the last word holds."""
        ...

    def keep_day(self, collection_id: int, day: date) -> None:
        """Let a day be as the weekdays say again."""
        ...

    def lead(self, collection: Collection, columns: Mapping[int, Mapping[str, int]]) -> None:
        """Let the group's open plots follow a collection; `columns` are their weekdays by text day."""
        ...

    def strays(self, collection_id: int, group_id: int | None) -> tuple[Plot, ...]:
        """Return the plots that follow a collection whose farmers are not of that group; all where it is None."""
        ...

    def plots(self, collection_id: int) -> tuple[Plot, ...]:
        """Return the live plots that follow a collection."""
        ...

    def members(self, group_id: int, now: datetime) -> tuple[Member, ...]:
        """Return the farmers of a group who are texted now."""
        ...


class Estimates(Protocol):
    """What farmers have said to bring."""

    def add(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        farmer_id: int,
        for_day: date,
        grams: int,
        inbound_id: int,
        phone_id: int,
        at: datetime,
    ) -> None: ...

    def void(self, estimate_id: int, inbound_id: int) -> None:
        """Take an estimate back; an earlier one of that day holds again."""
        ...

    def of(self, farmer_id: int, day: date) -> int | None:
        """Return the grams that a farmer has said to bring on a day, None where nothing was said."""
        ...

    def last_saved(self, phone_id: int, since: datetime) -> SavedEstimate | None:
        """Return the last estimate of a phone since then that was not taken back."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class DeliveryText:
    """A text that tells a farmer what became of their fruit.

    Attributes:
        delivery_id: what it tells of; None where it says that something was taken back.
        waits: whether it has not left yet.
        not_before: when it may leave, in the zone of whoever is texted.
    """

    delivery_id: int | None
    waits: bool
    not_before: datetime
    zone: str


class DeliveryTexts(Protocol):
    """The texts about what came."""

    def key(
        self, collection_id: int, day: date, farmer_id: int, delivery_id: int | None, turn: int
    ) -> str: ...
    def call_off(self, collection_id: int, day: date, farmer_id: int, why: str, at: datetime) -> None: ...

    def heard(self, collection_id: int, day: date, farmer_id: int) -> DeliveryText | None:
        """Return the last text that left, or may have left, None where a farmer has heard nothing."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Bringing:
    """A farmer of a group on one collection day.

    Attributes:
        expected_g: what they have said to bring, None where nothing was said.
        pick_from: the day from which on their fruit may be picked, where a spray holds it back on that day.
        brought: what they brought, None where nothing is entered.
    """

    farmer_id: int
    name: str
    village: str | None
    expected_g: int | None
    pick_from: date | None
    brought: Delivery | None


class CollectionLists(Protocol):
    """Who comes on a day."""

    def bringing(self, collection: Collection, day: date) -> tuple[Bringing, ...]:
        """Return the group's farmers by name, and whoever has brought something although they are of it no more."""
        ...


class Deliveries(Protocol):
    """What came, and what was paid for it."""

    def add(self, new: Delivery) -> None: ...
    def get(self, delivery_id: int) -> Delivery | None:
        """Return a delivery, one that was taken back as well."""
        ...

    def baskets(self, farmer_id: int, before: date, most: int) -> tuple[int, ...]:
        """Return the grams of a farmer's last deliveries before a day, accepted or not."""
        ...

    def of(self, collection_id: int, day: date, farmer_id: int) -> Delivery | None: ...
    def void(self, delivery_id: int, officer_id: int, at: datetime) -> bool:
        """Take a delivery back that is not paid; return whether it stood until now."""
        ...

    def last_price(self, collection_id: int) -> int | None:
        """Return the price of a kilo at which the last delivery was taken."""
        ...

    def pay(self, new: Payment, delivery_ids: Sequence[int]) -> int:
        """Keep a payment for deliveries; return how many of them nobody had paid before."""
        ...

    def payment(self, payment_id: int) -> Payment | None: ...
    def void_payment(self, payment_id: int, officer_id: int, at: datetime) -> bool:
        """Take a payment back: its deliveries are owed again; return whether it stood until now."""
        ...
