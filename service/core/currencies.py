"""Currencies as ISO 4217 names them, with the decimals that people pay with as Unicode CLDR has them.

Kept beside an amount a currency is its code; what an amount is and how it is reckoned stands in `flows.money`.
"""

from decimal import Decimal, InvalidOperation
from typing import Final

from babel.core import get_global
from babel.numbers import get_territory_currencies

from flows.money import MOST_MINOR, Currency, Money
from service.core.errors import Refused

# Of a row of CLDR's table: digits in accounts, their rounding, digits in cash.
_IN_CASH: Final = 2
# ISO 4217 for where there is no currency: a region without people of its own.
_NONE: Final = "XXX"


def currency_of(code: str) -> Currency:
    """Return the currency with that code; of one nobody has a row of, the usual decimals hold."""
    rows = get_global("currency_fractions")
    return Currency(code, rows.get(code, rows["DEFAULT"])[_IN_CASH])


def currency_in(region: str) -> str:
    """Return the code of what is paid with in a country today, the main one where there are several."""
    return next(iter(get_territory_currencies(region)), _NONE)


def plain(amount: int, code: str) -> str:
    """Write an amount without its currency: 2500 shillings are "2500", 250 cents "2.50"."""
    return Money(amount, currency_of(code)).plain


def written(amount: int, code: str) -> str:
    """Write an amount as texts have it, with its currency before it: "TZS 2,500"."""
    return str(Money(amount, currency_of(code)))


def typed(words: str, code: str) -> int:
    """Read an amount that somebody typed: "2500", "2,500", "2.50".

    Raises:
        Refused: it is no amount of this currency.
    """
    example = plain(2500, code)
    try:
        value = Decimal(words.replace(" ", "").replace(",", "")).scaleb(currency_of(code).decimals)
    except InvalidOperation as error:
        raise Refused(f"Write the money in figures, like {example}.") from error
    if not value.is_finite() or value != value.to_integral_value() or not 0 <= value < MOST_MINOR:
        raise Refused(f"Write the money in figures, like {example}.")
    return int(value)
