"""Money in whole numbers of what people pay with."""

from decimal import Decimal

import pytest

from flows.money import SHILLINGS, Currency, Money, per_kilo, worth

CENTS = Currency("USD", 2)


@pytest.mark.parametrize(
    ("minor", "currency", "expected"),
    [
        (30_000, SHILLINGS, "TZS 30,000"),
        (999, SHILLINGS, "TZS 999"),
        (0, SHILLINGS, "TZS 0"),
        (-1_250_000, SHILLINGS, "TZS -1,250,000"),
        (1_250, CENTS, "USD 12.50"),
        (1_200, CENTS, "USD 12"),
        (5, CENTS, "USD 0.05"),
        (-5, CENTS, "USD -0.05"),
    ],
)
def test_money_is_written_with_its_currency(minor: int, currency: Currency, expected: str) -> None:
    """A comma between thousands, for seven figures in a row are misread; decimals only where there are some."""
    assert expected == str(Money(minor, currency))


@pytest.mark.parametrize(
    ("value", "currency", "expected"),
    [("30000", SHILLINGS, 30_000), ("2500.5", SHILLINGS, 2_501), ("12.5", CENTS, 1_250), ("0.004", CENTS, 0)],
)
def test_what_is_said_becomes_the_smallest_money(value: str, currency: Currency, expected: int) -> None:
    """A half is rounded upwards."""
    assert expected == currency.minor(Decimal(value))


@pytest.mark.parametrize(
    ("minor", "grams", "expected"),
    [(30_000, 12_000, 2_500), (10_000, 3_000, 3_333), (5, 2_000, 3), (0, 1, 0)],
)
def test_what_a_kilo_brought(minor: int, grams: int, expected: int) -> None:
    """To the nearest smallest money."""
    assert expected == per_kilo(minor, grams)


@pytest.mark.parametrize(
    ("grams", "price", "amount"),
    [(12_500, 2500, 31_250), (1, 2500, 3), (333, 1000, 333), (1500, 333, 500), (0, 2500, 0)],
)
def test_a_weight_is_worth_its_price(grams: int, price: int, amount: int) -> None:
    """Rounded to the nearest whole, halves up: 1.5 kg at 333 are 499.5."""
    assert amount == worth(grams, price)
