"""Currencies as ISO 4217 names them, with the decimals that people pay with as Unicode CLDR has them."""

from typing import Final

from babel.core import get_global
from babel.numbers import get_territory_currencies

from flows.money import Currency

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
