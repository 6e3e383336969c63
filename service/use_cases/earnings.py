"""What farmers have earned: sales that were told, and fruit that collections accepted, each fruit counted once.

A sale of a day on which a collection took fruit is counted only where it was said to be other fruit. Accepted fruit
counts from the day on which it was brought, whether it is paid yet or not.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from flows.trading import Basket
from service.core.money_ports import KeptSale, MoneyRows


@dataclass(frozen=True, kw_only=True, slots=True)
class Earned:
    """What was earned on one day: grams, and the smallest money."""

    on: date
    grams: int
    minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Earnings:
    """What was earned in some days, all of it in one currency, the newest first.

    Attributes:
        sales: that count.
        uncounted: sales of a day on which a collection took fruit, which nobody has said to be other fruit.
        baskets: what collections accepted.
        others: how many sales were told in another currency, which are not counted.
    """

    sales: tuple[KeptSale, ...]
    uncounted: tuple[KeptSale, ...]
    baskets: tuple[Basket, ...]
    others: int

    @property
    def all(self) -> tuple[Earned, ...]:
        """All that counts."""
        told = (Earned(on=one.sold_on, grams=one.grams, minor=one.minor) for one in self.sales)
        brought = (Earned(on=one.on, grams=one.grams, minor=one.minor) for one in self.baskets)
        return (*told, *brought)

    @property
    def grams(self) -> int:
        """The grams that were sold."""
        return sum(one.grams for one in self.all)

    @property
    def minor(self) -> int:
        """The money that came in, or is owed."""
        return sum(one.minor for one in self.all)

    @property
    def owed(self) -> int:
        """What collections have not paid of it yet."""
        return sum(one.owed for one in self.baskets)


def earnings_of(
    rows: MoneyRows,
    currency: str,
    first: date,
    last: date,
    *,
    plots: Sequence[int],
    farmers: Sequence[int],
    with_baskets: bool = True,
) -> Earnings:
    """Return what was earned from one day to another.

    Args:
        rows: where it is kept.
        currency: the code of the one that is counted.
        first: the first day.
        last: the last day.
        plots: whose sales are counted.
        farmers: whose plots they are.
        with_baskets: whether what collections accepted counts too; a basket names no plot.
    """
    sales = rows.sales(plots, first, last)
    ours = [one for one in sales if one.currency == currency]
    baskets = rows.baskets(farmers, currency, first, last)
    days = {one.on for one in baskets}
    return Earnings(
        sales=tuple(one for one in ours if one.besides or one.sold_on not in days),
        uncounted=tuple(one for one in ours if not one.besides and one.sold_on in days),
        baskets=baskets if with_baskets else (),
        others=len(sales) - len(ours),
    )
