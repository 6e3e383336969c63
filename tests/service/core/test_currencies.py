"""Currencies and their decimals. The table is that of Unicode CLDR, as Babel ships it; codes are those of ISO 4217."""

import pytest

from flows.money import Currency
from service.core.currencies import currency_in, currency_of, typed, written
from service.core.errors import Refused


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


@pytest.mark.parametrize(
    ("words", "currency", "amount", "shown"),
    [
        ("2500", "TZS", 2500, "TZS 2,500"),
        ("2,500", "TZS", 2500, "TZS 2,500"),
        (" 30 000 ", "TZS", 30000, "TZS 30,000"),
        ("2.5", "USD", 250, "USD 2.50"),
        ("0", "TZS", 0, "TZS 0"),
    ],
)
def test_an_amount_is_read_and_written(words: str, currency: str, amount: int, shown: str) -> None:
    """Whole shillings have no cents; other money has two places."""
    assert amount == typed(words, currency)
    assert shown == written(amount, currency)


@pytest.mark.parametrize("words", ["", "much", "12.5", "-3", "NaN", "1e12", "Infinity"])
def test_what_is_no_amount_is_refused(words: str) -> None:
    """The sentence says how it is written."""
    with pytest.raises(Refused, match="figures, like 2500"):
        typed(words, "TZS")
