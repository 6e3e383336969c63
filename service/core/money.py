"""Amounts of money: whole numbers of the smallest coin that people use, with the currency they are in.

A shilling is divided by the standard (ISO 4217 gives it cents), but nobody pays them, so a programme's amounts are
whole shillings.
"""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Final

from service.core.errors import Refused

# Currencies of which nobody uses a smaller part: those without one in ISO 4217, from memory, and those whose cents have
# gone out of use, common practice, no source. All others have two places.
_WHOLE: Final = frozenset(
    {"BIF", "CDF", "DJF", "GNF", "KES", "KMF", "MGA", "MWK", "NGN", "RWF", "TZS", "UGX", "XAF", "XOF"}
)
_PLACES: Final = 2
# What one farmer brings in a day is worth less in any currency.
MOST: Final = 1_000_000_000
_GRAMS_A_KILO: Final = 1000


def places(currency: str) -> int:
    """Return how many places behind the point an amount of `currency` is written with."""
    return 0 if currency in _WHOLE else _PLACES


def plain(amount: int, currency: str) -> str:
    """Write an amount without its currency: 2500 shillings are "2500", 250 cents "2.50"."""
    return f"{Decimal(amount).scaleb(-places(currency)):f}"


def written(amount: int, currency: str) -> str:
    """Write an amount with its currency before it: "TZS 2500"."""
    return f"{currency} {plain(amount, currency)}"


def typed(words: str, currency: str) -> int:
    """Read an amount that somebody typed: "2500", "2,500", "2.50".

    Raises:
        Refused: it is no amount of this currency.
    """
    example = plain(2500, currency)
    try:
        value = Decimal(words.replace(" ", "").replace(",", "")).scaleb(places(currency))
    except InvalidOperation as error:
        raise Refused(f"Write the money in figures, like {example}.") from error
    if not value.is_finite() or value != value.to_integral_value() or not 0 <= value < MOST:
        raise Refused(f"Write the money in figures, like {example}.")
    return int(value)


def worth(grams: int, price: int) -> int:
    """Return what a weight is worth at a price for a kilo, rounded to the nearest whole, halves up."""
    return int((Decimal(grams) * price / _GRAMS_A_KILO).to_integral_value(ROUND_HALF_UP))
