"""What is asked of the database about money: sales, costs, and the prices of markets."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from flows.trading import Basket, CostKind, Quoted


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptSale:
    """A sale that was told; `minor` is the smallest money of the currency, for all of it.

    Attributes:
        besides: whether it was said to be other fruit than what a collection took on that day.
        officer_id: who was told of it by voice, None where it was texted.
    """

    id: int
    plot_id: int
    sold_on: date
    grams: int
    minor: int
    currency: str
    buyer: str | None
    at: datetime
    besides: bool = False
    officer_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptCost:
    """A cost that was told, in the smallest money of its currency."""

    id: int
    plot_id: int
    spent_on: date
    kind: CostKind
    minor: int
    currency: str
    at: datetime
    officer_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Picked:
    """What was picked on one day of a plot; weights in question are left out."""

    plot_id: int
    on: date
    grams: int


@dataclass(frozen=True, kw_only=True, slots=True)
class NewPrice:
    """A price of a kilo that an officer was told; `crop_class` is '' where there is one price for all fruit."""

    id: int
    district_id: int
    market: str
    crop_class: str
    minor: int
    currency: str
    quoted_on: date
    officer_id: int | None
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class ListedPrice:
    """A price as it stands in a list of them: `officer` is the name of who was told, None where a command did it."""

    market: str
    crop_class: str
    minor: int
    currency: str
    quoted_on: date
    officer: str | None


class MoneyRows(Protocol):
    """What farmers tell of money."""

    def add_sale(self, new: KeptSale, *, inbound_id: int | None, phone_id: int | None) -> None: ...

    def add_cost(self, new: KeptCost, *, inbound_id: int | None, phone_id: int | None) -> None: ...

    def void_sale(self, sale_id: int, inbound_id: int) -> None: ...

    def void_cost(self, cost_id: int, inbound_id: int) -> None: ...

    def take_sale_back(self, plot_id: int, sale_id: int, officer_id: int) -> bool:
        """Take a sale back that an officer has entered; return whether it stood until now."""
        ...

    def take_cost_back(self, plot_id: int, cost_id: int, officer_id: int) -> bool:
        """Take a cost back that an officer has entered; return whether it stood until now."""
        ...

    def mark_besides(self, plot_id: int, sale_id: int) -> bool:
        """Let a sale be other fruit than what a collection took that day; return whether it was not until now."""
        ...

    def last_sale(self, phone_id: int, since: datetime) -> KeptSale | None:
        """Return the last sale a phone told of since then that was not taken back."""
        ...

    def last_cost(self, phone_id: int, since: datetime) -> KeptCost | None:
        """Return the last cost a phone told of since then that was not taken back."""
        ...

    def sales(self, plot_ids: Sequence[int], first: date, last: date) -> tuple[KeptSale, ...]:
        """Return the sales of some plots from one day to another, the newest first."""
        ...

    def costs(self, plot_ids: Sequence[int], first: date, last: date) -> tuple[KeptCost, ...]:
        """Return the costs of some plots from one day to another, the newest first."""
        ...

    def baskets(
        self, farmer_ids: Sequence[int], currency: str, first: date, last: date
    ) -> tuple[Basket, ...]:
        """Return what collections accepted from farmers from one day to another, the newest first."""
        ...

    def picked(self, plot_ids: Sequence[int], first: date, last: date) -> tuple[Picked, ...]:
        """Return what was picked on some plots from one day to another, a row for each plot and day."""
        ...


class PriceRows(Protocol):
    """Prices of markets."""

    def add(self, new: NewPrice) -> None: ...

    def newest(self, district_ids: Sequence[int], currency: str, since: date) -> tuple[Quoted, ...]:
        """Return of each market and class the price that holds, if it is of that day or later; the newest first."""
        ...

    def listed(self, district_id: int, since: date, most: int) -> tuple[ListedPrice, ...]:
        """Return the last prices of a district from a day on, the newest first, those that hold no more as well."""
        ...
