"""Amounts of money: how they are typed, written and reckoned."""

import pytest

from service.core.errors import Refused
from service.core.money import typed, worth, written


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


@pytest.mark.parametrize(
    ("grams", "price", "amount"),
    [(12_500, 2500, 31_250), (1, 2500, 3), (333, 1000, 333), (1500, 333, 500), (0, 2500, 0)],
)
def test_a_weight_is_worth_its_price(grams: int, price: int, amount: int) -> None:
    """Rounded to the nearest whole, halves up: 1.5 kg at 333 are 499.5."""
    assert amount == worth(grams, price)
