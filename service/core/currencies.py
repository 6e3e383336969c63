"""Currencies as ISO 4217 names them, with the decimals that people pay with as Unicode CLDR has them."""

from typing import Final

from babel.core import get_global

from flows.money import Currency

# Of a row of CLDR's table: digits in accounts, their rounding, digits in cash.
_IN_CASH: Final = 2


def currency_of(code: str) -> Currency:
    """Return the currency with that code; of one nobody has a row of, the usual decimals hold."""
    rows = get_global("currency_fractions")
    return Currency(code, rows.get(code, rows["DEFAULT"])[_IN_CASH])
