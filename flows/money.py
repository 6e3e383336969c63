"""Money: whole numbers of a currency's smallest money, and how they are written into a text.

Smallest is what people pay with: where nobody has seen a coin of a hundredth for years, it is one of the main unit.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

# Past this somebody has slipped; it is also what texts have room for.
MOST_MINOR: Final = 10**9


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency: its code of three letters (ISO 4217), and how many decimals are paid with."""

    code: str
    decimals: int = 0

    def minor(self, value: Decimal) -> int:
        """Return an amount of the main unit in the smallest money, rounded halves upwards."""
        return int(value.scaleb(self.decimals).to_integral_value(ROUND_HALF_UP))


# That of the invented programme.
SHILLINGS: Final = Currency("TZS")


@dataclass(frozen=True, slots=True)
class Money:
    """An amount, written with its currency and a comma between thousands: TZS 30,000."""

    minor: int
    currency: Currency

    def __str__(self) -> str:
        """Return the amount; decimals stand only where there are some: USD 12, USD 12.50."""
        return f"{self.currency.code} {self.figures}"

    @property
    def figures(self) -> str:
        """The amount without its currency."""
        sign = "-" if self.minor < 0 else ""
        whole, part = divmod(abs(self.minor), 10**self.currency.decimals)
        decimals = f".{part:0{self.currency.decimals}d}" if part else ""
        return f"{sign}{whole:,}{decimals}"

    @property
    def plain(self) -> str:
        """The amount as it is typed and put into files, with all decimals and no commas: 2500, 2.50."""
        return f"{Decimal(self.minor).scaleb(-self.currency.decimals):f}"


def worth(grams: int, price: int) -> int:
    """Return what a weight is worth at a price for a kilo, in the smallest money, halves upwards."""
    return (2 * grams * price + 1000) // 2000


def per_kilo(minor: int, grams: int) -> int:
    """Return what a kilo brought, in the smallest money, halves upwards; `grams` are above zero."""
    return (minor * 2000 + grams) // (grams * 2)
