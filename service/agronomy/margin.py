"""Gross margin of a plot: what was earned less what varies with the crop, in whole minor money.

Overheads stay outside. Unpaid work of the family is shown both ways: paid nothing, and paid what a day of work
costs. What serves for years, such as plants and mulch, is spread over them. All money is in the smallest unit
of one currency, weights in grams, and nothing here is a promise of income.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from service.agronomy.figures import possible
from service.core.errors import Refused

_GRAMS_A_KILO: Final = 1000
# Past this somebody has slipped; it also keeps every sum within what a database column holds.
_MOST_MINOR: Final = 10**15
_MOST_GRAMS: Final = 10**12


@dataclass(frozen=True, kw_only=True, slots=True)
class Income:
    """Fruit that was sold or could be: wasted fruit is not counted.

    Attributes:
        grams: marketable fruit.
        price_per_kg: minor money a kilo.
        received: what was in fact paid for it, where that is known: a price by the kilo is then only its mean.
    """

    grams: int
    price_per_kg: int
    received: int | None = None

    def __post_init__(self) -> None:
        """Refuse what no sale can be."""
        possible("Marketable fruit", self.grams, 0, _MOST_GRAMS, "grams")
        possible("The price of a kilo", self.price_per_kg, 0, _MOST_MINOR, "of the smallest money")
        if self.received is not None:
            possible("What was paid", self.received, 0, _MOST_MINOR, "of the smallest money")

    @property
    def minor(self) -> int:
        """What the fruit brings."""
        if self.received is not None:
            return self.received
        return _divided(self.grams * self.price_per_kg, _GRAMS_A_KILO)


@dataclass(frozen=True, kw_only=True, slots=True)
class Cost:
    """One cost that varies with the crop.

    Attributes:
        what: what was paid for.
        minor: what was paid, all of it.
        serves_months: for how many months it serves; None when it is used up within the period.
    """

    what: str
    minor: int
    serves_months: int | None = None

    def __post_init__(self) -> None:
        """Refuse what no cost can be."""
        possible(f"The cost of {self.what}", self.minor, 0, _MOST_MINOR, "of the smallest money")
        if self.serves_months is not None:
            possible(f"The time that {self.what} serves", self.serves_months, 1, 600, "months")


@dataclass(frozen=True, kw_only=True, slots=True)
class FamilyWork:
    """Unpaid days of work, and what a day of such work costs where it is paid."""

    days: int
    day_rate: int

    def __post_init__(self) -> None:
        """Refuse what no work can be."""
        possible("Days of family work", self.days, 0, 100_000, "days")
        possible("The price of a day's work", self.day_rate, 0, _MOST_MINOR, "of the smallest money")

    @property
    def minor(self) -> int:
        """What these days would cost."""
        return self.days * self.day_rate


NO_WORK: Final = FamilyWork(days=0, day_rate=0)


@dataclass(frozen=True, kw_only=True, slots=True)
class BreakEven:
    """Where costs are just covered.

    Attributes:
        price_per_kg: the lowest whole price that covers them; None when nothing was sold.
        grams: the least weight that covers them at the price told; None when that price is nothing.
    """

    price_per_kg: int | None
    grams: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Reckoned:
    """The figures for one way of seeing family work.

    Attributes:
        costs: all variable costs of the period.
        gross_margin: income less these costs; below zero for a loss.
        percent_tenths: gross margin in tenths of a percent of income; None without income.
        break_even: where the costs are just covered.
    """

    costs: int
    gross_margin: int
    percent_tenths: int | None
    break_even: BreakEven


@dataclass(frozen=True, kw_only=True, slots=True)
class Margin:
    """Gross margin of a plot over a period.

    Attributes:
        currency: its code of three letters (ISO 4217).
        months: the period.
        income: what marketable fruit brought.
        work_unpaid: family work counted as nothing.
        work_paid: family work counted at its price.
        per_family_day: what one day of family work earned; None without such days.
        per_m2: gross margin a square metre, work counted at its price; None when the ground was not told.
        spread: names of the costs of which only this period's share was taken.
    """

    currency: str
    months: int
    income: int
    work_unpaid: Reckoned
    work_paid: Reckoned
    per_family_day: int | None
    per_m2: int | None
    spread: tuple[str, ...]


def margin_of(
    currency: str,
    income: Income,
    costs: Sequence[Cost],
    *,
    work: FamilyWork = NO_WORK,
    months: int = 12,
    ground_m2: int | None = None,
) -> Margin:
    """Return the gross margin of a period of some months.

    Amounts are rounded to the nearest smallest money, halves away from zero; break-even figures upwards, since
    below them the costs are not covered.

    Raises:
        Refused: the currency, the period or the ground cannot be.
    """
    if len(currency) != 3 or not (currency.isascii() and currency.isalpha() and currency.isupper()):  # noqa: PLR2004 - ISO 4217
        raise Refused(
            f"A currency is a code of three capital letters, such as TZS, not {currency!r}: name one."
        )
    possible("The period", months, 1, 600, "months")
    if ground_m2 is not None:
        possible("Ground", ground_m2, 1, 10**7, "square metres")
    paid = sum(_of_period(cost, months) for cost in costs)
    unpaid, full = _reckon(income, paid), _reckon(income, paid + work.minor)
    return Margin(
        currency=currency,
        months=months,
        income=income.minor,
        work_unpaid=unpaid,
        work_paid=full,
        per_family_day=_divided(unpaid.gross_margin, work.days) if work.days else None,
        per_m2=_divided(full.gross_margin, ground_m2) if ground_m2 else None,
        spread=tuple(cost.what for cost in costs if cost.serves_months and cost.serves_months > months),
    )


def _of_period(cost: Cost, months: int) -> int:
    """Return the share of a cost that falls into the period; what serves less long is paid within it."""
    if cost.serves_months is None:
        return cost.minor
    return _divided(cost.minor * min(months, cost.serves_months), cost.serves_months)


def _reckon(income: Income, costs: int) -> Reckoned:
    margin = income.minor - costs
    return Reckoned(
        costs=costs,
        gross_margin=margin,
        percent_tenths=_divided(margin * 1000, income.minor) if income.minor else None,
        break_even=BreakEven(
            price_per_kg=_upwards(costs * _GRAMS_A_KILO, income.grams) if income.grams else None,
            grams=_upwards(costs * _GRAMS_A_KILO, income.price_per_kg) if income.price_per_kg else None,
        ),
    )


def _divided(amount: int, parts: int) -> int:
    """Divide to the nearest whole number, halves away from zero, without ever leaving whole numbers."""
    whole = (abs(amount) * 2 + parts) // (parts * 2)
    return whole if amount >= 0 else -whole


def _upwards(amount: int, parts: int) -> int:
    return -(-amount // parts)
