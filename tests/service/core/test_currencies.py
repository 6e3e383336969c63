"""Currencies and their decimals. The table is that of Unicode CLDR, as Babel ships it; codes are those of ISO 4217."""

import pytest

from flows.money import Currency
from service.core.currencies import currency_in, currency_of


@pytest.mark.parametrize(
    ("code", "decimals"),
    [("TZS", 0), ("UGX", 0), ("RWF", 0), ("KES", 2), ("USD", 2), ("JPY", 0), ("KWD", 3)],
)
def test_decimals_are_those_that_people_pay_with(code: str, decimals: int) -> None:
    """ISO 4217 gives the shilling of Tanzania two decimals; nobody pays with them, and CLDR's column for cash says so.

    The others are, from memory, those of ISO 4217 itself.
    """
    assert Currency(code, decimals) == currency_of(code)


@pytest.mark.parametrize(
    ("region", "code"),
    [("TZ", "TZS"), ("KE", "KES"), ("UG", "UGX"), ("MZ", "MZN"), ("GT", "GTQ"), ("AQ", "XXX")],
)
def test_each_country_has_its_currency(region: str, code: str) -> None:
    """As Unicode CLDR has it; where nobody lives nothing is paid with."""
    assert code == currency_in(region)
