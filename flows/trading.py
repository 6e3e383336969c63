"""Money as a farmer tells it: what was sold and spent, what is asked of prices and of the year.

What was sold is not what was picked: it adds nothing to any weight, and is welcome without one.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final, TypeAlias

# How near a sale and a basket of one day are surely the same fruit, as a part of one: common practice, no source.
_SURELY: Final = 10


class Worth(StrEnum):
    """What an amount of money was paid for."""

    EACH = "each"
    """For each kilo."""

    ALL = "all"
    """For all that was sold."""


class CostKind(StrEnum):
    """What money was spent on."""

    SEEDLINGS = "seedlings"
    MANURE = "manure"
    MULCH = "mulch"
    LABOUR = "labour"
    WATER = "water"
    PACKING = "packing"
    TRANSPORT = "transport"
    OTHER = "other"


@dataclass(frozen=True, kw_only=True)
class Sold:
    """The farmer reports a sale; what was not said for sure is None.

    Attributes:
        grams: the weight.
        amount: the money, in the main unit of the currency.
        worth: what that money was paid for.
        on: the local day.
        vague: True when a time was said that is no single day.
        buyer: who bought it, in the farmer's own words.
    """

    grams: int | None = None
    amount: Decimal | None = None
    worth: Worth | None = None
    on: date | None = None
    vague: bool = False
    buyer: str | None = None


@dataclass(frozen=True, kw_only=True)
class Cost:
    """The farmer reports a cost; what was not said for sure is None.

    Attributes:
        kind: what for.
        amount: the money, in the main unit of the currency.
        on: the local day.
        vague: True when a time was said that is no single day.
    """

    kind: CostKind | None = None
    amount: Decimal | None = None
    on: date | None = None
    vague: bool = False


@dataclass(frozen=True, kw_only=True)
class Price:
    """The farmer asks what a kilo brings."""


@dataclass(frozen=True, kw_only=True)
class Year:
    """The farmer asks for the year in figures: kilos and money."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Basket:
    """What a collection accepted from a farmer on a day: grams, and the smallest money it is worth.

    Attributes:
        came: grams that were brought, those that were not accepted as well.
        owed: what is not paid of it yet.
    """

    on: date
    grams: int
    came: int
    minor: int
    owed: int = 0

    def is_told_by(self, on: date, grams: int, minor: int) -> bool:
        """Return whether a sale is surely this fruit: of that day, and a tenth off in kilos or money at most."""
        near = ((grams, self.grams), (grams, self.came), (minor, self.minor))
        return on == self.on and any(abs(told - here) * _SURELY <= here for told, here in near)


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveSale:
    """Keep a sale: `minor` is the smallest money, for all of it; `besides` what a collection took that day."""

    id: int
    farmer_id: int
    plot_id: int
    grams: int
    minor: int
    on: date
    buyer: str | None
    besides: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidSale:
    """Sale `id` is taken back."""

    id: int
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveCost:
    """Keep a cost in the smallest money."""

    id: int
    farmer_id: int
    plot_id: int
    kind: CostKind
    minor: int
    on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidCost:
    """Cost `id` is taken back."""

    id: int
    farmer_id: int


TradeEffect: TypeAlias = SaveSale | VoidSale | SaveCost | VoidCost


@dataclass(frozen=True, kw_only=True, slots=True)
class Quoted:
    """A price of a kilo at a market, in the smallest money; `crop_class` is '' where there is one for all fruit."""

    market: str
    crop_class: str
    minor: int
    on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class YearTold:
    """Twelve months of a farmer, by what was told: grams, and the smallest money.

    Attributes:
        plants: that stand, or stood while fruit was told of.
        months: the calendar months in which a weight, a sale or a cost fell.
    """

    picked: int
    plants: int
    sold: int
    money_in: int
    money_out: int
    months: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Purse:
    """What is known of a farmer's money, gathered where money is talked about.

    Attributes:
        quotes: newest prices at the markets of the farmer's district, the newest first.
        kilo_prices: what a kilo brought in the farmer's own last sales.
        baskets: what collections accepted in the days of which sales are told.
    """

    quotes: tuple[Quoted, ...]
    kilo_prices: tuple[int, ...]
    year: YearTold
    baskets: tuple[Basket, ...] = ()
