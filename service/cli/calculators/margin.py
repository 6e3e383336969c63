"""What a plot earned beyond what varies with the crop."""

from collections.abc import Iterator, Sequence
from typing import Final

import click

from service.agronomy.margin import Cost, FamilyWork, Income, Margin, Reckoned, margin_of
from service.cli.calculators.shape import WHOLE, Answer, Argument, Calculator, Pair, Pairs

_GRAMS_A_KILO: Final = 1000
_MONEY: Final = "whole smallest money of the currency"
_COSTS: Final = Pairs(click.STRING, "=", WHOLE, "compost=12000")


def _compute(
    *,
    currency: str,
    kg: float,
    price_per_kg: int,
    costs: Sequence[Pair],
    lasting: Sequence[Pair],
    family_days: int,
    day_rate: int,
    months: int,
    ground_m2: int | None,
) -> Answer:
    income = Income(grams=round(kg * _GRAMS_A_KILO), price_per_kg=price_per_kg)
    once = [Cost(what=what, minor=minor) for what, minor in costs]
    spread = [
        Cost(what=share.left, minor=share.right, serves_months=serves_months)
        for share, serves_months in lasting
    ]
    margin = margin_of(
        currency,
        income,
        [*once, *spread],
        work=FamilyWork(days=family_days, day_rate=day_rate),
        months=months,
        ground_m2=ground_m2,
    )
    return Answer(
        values={
            "currency": margin.currency,
            "months": margin.months,
            "income": margin.income,
            "work_unpaid": _values(margin.work_unpaid),
            "work_paid": _values(margin.work_paid),
            "per_family_day": margin.per_family_day,
            "per_m2": margin.per_m2,
            "spread": margin.spread,
        },
        lines=_lines(margin, family_days),
    )


def _values(reckoned: Reckoned) -> dict[str, object]:
    grams, tenths = reckoned.break_even.grams, reckoned.percent_tenths
    return {
        "costs": reckoned.costs,
        "gross_margin": reckoned.gross_margin,
        "percent_of_income": None if tenths is None else tenths / 10,
        "break_even_price_per_kg": reckoned.break_even.price_per_kg,
        "break_even_kg": None if grams is None else grams / _GRAMS_A_KILO,
    }


def _lines(margin: Margin, family_days: int) -> Iterator[str]:
    yield f"The fruit brings {margin.income:,} {margin.currency} in {margin.months} months."
    yield from _said(margin.work_unpaid, margin.currency, "work of the family unpaid" if family_days else "")
    if family_days:
        yield from _said(margin.work_paid, margin.currency, "work of the family paid")
        yield f"A day of the family's work earns {margin.per_family_day:,} {margin.currency}."
    if margin.per_m2 is not None:
        yield f"Each square metre leaves {margin.per_m2:,} {margin.currency}."
    if margin.spread:
        yield f"Only the share of these months was taken of {', '.join(margin.spread)}."


def _said(reckoned: Reckoned, currency: str, how: str) -> Iterator[str]:
    tenths, even = reckoned.percent_tenths, reckoned.break_even
    share = "" if tenths is None else f", {tenths / 10:.1f} % of the income"
    yield (
        f"Costs {reckoned.costs:,}, gross margin {reckoned.gross_margin:,} {currency}{share}"
        f"{f', {how}' if how else ''}."
    )
    if even.price_per_kg is not None:
        yield f"Costs are covered from {even.price_per_kg:,} {currency} a kilo on."
    if even.grams is not None:
        yield f"At this price they are covered from {even.grams / _GRAMS_A_KILO:,.2f} kg on."


MARGIN: Final = Calculator(
    name="margin",
    about="""Compute the gross margin of a plot.

    That is what was earned less the costs that vary with the crop. All money is whole, in the smallest of the
    currency. Wasted fruit does not count. Family work is shown unpaid and paid. No figure here is a promise of income.

    Example: trussline calc margin --currency TZS --kg 667 --price 4000 --cost compost=120000
    --lasting plants=666600/30 --family-days 180 --day-rate 3000
    """,
    arguments=(
        Argument(flag="currency", name="currency", what="currency, like TZS", type=click.STRING, needed=True),
        Argument(flag="kg", name="kg", what="fruit that was sold or could be", unit="kg", needed=True),
        Argument(
            flag="price", name="price_per_kg", what="price of a kilo", unit=_MONEY, type=WHOLE, needed=True
        ),
        Argument(
            flag="cost",
            name="costs",
            what="cost used up within the period, like compost=12000",
            unit=_MONEY,
            type=_COSTS,
            many=True,
        ),
        Argument(
            flag="lasting",
            name="lasting",
            what="cost that serves for months, like plants=66000/30",
            unit=f"{_MONEY} and months",
            type=Pairs(_COSTS, "/", WHOLE, "plants=66000/30"),
            many=True,
        ),
        Argument(
            flag="family-days",
            name="family_days",
            what="unpaid work of the family",
            unit="days",
            type=WHOLE,
            usual=0,
        ),
        Argument(
            flag="day-rate",
            name="day_rate",
            what="price of a day's work where it is paid",
            unit=_MONEY,
            type=WHOLE,
            usual=0,
        ),
        Argument(flag="months", name="months", what="period", unit="months", type=WHOLE, usual=12),
        Argument(
            flag="ground",
            name="ground_m2",
            what="ground of beds and paths",
            unit="whole square metres",
            type=WHOLE,
        ),
    ),
    compute=_compute,
)
