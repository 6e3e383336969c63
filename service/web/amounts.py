"""Amounts of money as pages write them: figures alone, with a comma between thousands."""

from flows.money import Money
from service.core.currencies import currency_of
from service.web.house import the_house


def figures(minor: int, code: str = "") -> str:
    """Return an amount of the programme's currency, or of the one with that code, without naming it."""
    currency = currency_of(code) if code else the_house().tools.programme.currency
    return Money(minor, currency).figures
