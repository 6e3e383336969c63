"""Amounts of money: whole numbers of the smallest coin that people use, with the currency they are in.

Here a currency is its code, as it is kept beside each amount; what is smallest says `service.core.currencies`.
"""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Final

from flows.money import Money
from service.core.currencies import currency_of
from service.core.errors import Refused

# What one farmer brings in a day is worth less in any currency.
MOST: Final = 1_000_000_000
_GRAMS_A_KILO: Final = 1000


def plain(amount: int, currency: str) -> str:
    """Write an amount without its currency: 2500 shillings are "2500", 250 cents "2.50"."""
    return f"{Decimal(amount).scaleb(-currency_of(currency).decimals):f}"


def written(amount: int, currency: str) -> str:
    """Write an amount as texts have it, with its currency before it: "TZS 2,500"."""
    return str(Money(amount, currency_of(currency)))


def typed(words: str, currency: str) -> int:
    """Read an amount that somebody typed: "2500", "2,500", "2.50".

    Raises:
        Refused: it is no amount of this currency.
    """
    example = plain(2500, currency)
    try:
        value = Decimal(words.replace(" ", "").replace(",", "")).scaleb(currency_of(currency).decimals)
    except InvalidOperation as error:
        raise Refused(f"Write the money in figures, like {example}.") from error
    if not value.is_finite() or value != value.to_integral_value() or not 0 <= value < MOST:
        raise Refused(f"Write the money in figures, like {example}.")
    return int(value)


def worth(grams: int, price: int) -> int:
    """Return what a weight is worth at a price for a kilo, rounded to the nearest whole, halves up."""
    return int((Decimal(grams) * price / _GRAMS_A_KILO).to_integral_value(ROUND_HALF_UP))
