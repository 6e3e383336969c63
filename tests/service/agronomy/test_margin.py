"""Gross margin: a textbook's example, a plot worked out by hand, and the usual traps."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.margin import BreakEven, Cost, FamilyWork, Income, margin_of
from service.core.errors import Refused

incomes = st.builds(Income, grams=st.integers(0, 10**8), price_per_kg=st.integers(0, 10**6))
costs = st.lists(
    st.builds(
        Cost,
        what=st.just("something"),
        minor=st.integers(0, 10**9),
        serves_months=st.none() | st.integers(1, 60),
    ),
    max_size=6,
)
work = st.builds(FamilyWork, days=st.integers(0, 400), day_rate=st.integers(0, 10**5))

# An invented plot: 500 m² with 2,222 plants, 0.40 kg a plant and year, three quarters of it marketable. Prices
# are invented too, in hundredths.
PLOT = Income(grams=666_600, price_per_kg=400)
PLOT_COSTS = (
    Cost(what="plants", minor=2222 * 30, serves_months=30),
    Cost(what="mulch and drip", minor=15_000, serves_months=30),
    Cost(what="compost", minor=12_000),
    Cost(what="punnets", minor=13_332),
    Cost(what="transport", minor=8_000),
    Cost(what="sundries", minor=5_000),
)
PLOT_WORK = FamilyWork(days=180, day_rate=300)


def test_textbook_example() -> None:
    """Form Three Agriculture (Tanzania), p. 327: 200 trays at 12,000, variable costs 1,680,000, margin 720,000.

    A tray stands here for a kilo; the 30 percent of income follow from the book's figures.
    """
    margin = margin_of("TZS", Income(grams=200_000, price_per_kg=12_000), [Cost(what="all", minor=1_680_000)])

    assert (2_400_000, 720_000) == (margin.income, margin.work_unpaid.gross_margin)
    assert 300 == margin.work_unpaid.percent_tenths


def test_a_plot_worked_out_by_hand() -> None:
    """Income 2,666.40, costs 1,249.96 with work, margin 1,416.44; plants and mulch over two and a half years."""
    margin = margin_of("TZS", PLOT, PLOT_COSTS, work=PLOT_WORK, ground_m2=500)

    assert (266_640, 124_996, 141_644) == (
        margin.income,
        margin.work_paid.costs,
        margin.work_paid.gross_margin,
    )
    assert 531 == margin.work_paid.percent_tenths
    assert 283 == margin.per_m2
    assert 1087 == margin.per_family_day
    assert ("plants", "mulch and drip") == margin.spread
    # By hand 1.875 a kilo, and 312.49 kg.
    assert (188, 312_490) == (margin.work_paid.break_even.price_per_kg, margin.work_paid.break_even.grams)


def test_family_work_is_shown_both_ways() -> None:
    """Counted as nothing, the plot earns by 540.00 more than with days at 3.00."""
    margin = margin_of("TZS", PLOT, PLOT_COSTS, work=PLOT_WORK)

    assert 54_000 == margin.work_unpaid.gross_margin - margin.work_paid.gross_margin


@pytest.mark.parametrize(
    ("income", "expected"),
    [
        pytest.param(Income(grams=0, price_per_kg=400), (None, 250_000, None), id="no yield"),
        pytest.param(Income(grams=1_000, price_per_kg=0), (100_000, None, None), id="no price"),
        pytest.param(Income(grams=0, price_per_kg=0), (None, None, None), id="neither"),
    ],
)
def test_nothing_is_divided_by_nothing(
    income: Income, expected: tuple[int | None, int | None, int | None]
) -> None:
    """Without yield or price the loss is told, and what cannot be said is left unsaid."""
    margin = margin_of("TZS", income, [Cost(what="compost", minor=100_000)])
    plain = margin.work_unpaid

    assert -100_000 == plain.gross_margin
    assert expected == (plain.break_even.price_per_kg, plain.break_even.grams, plain.percent_tenths)
    assert (None, None) == (margin.per_family_day, margin.per_m2)


@pytest.mark.parametrize(
    ("serves", "months", "share"),
    [
        pytest.param(30, 12, 400, id="twelve of thirty months"),
        pytest.param(30, 30, 1000, id="as long as the period"),
        pytest.param(6, 12, 1000, id="used up sooner"),
        pytest.param(None, 1, 1000, id="used up at once"),
    ],
)
def test_costs_are_spread_over_what_they_serve(serves: int | None, months: int, share: int) -> None:
    """A period carries its share and never more than was paid."""
    cost = Cost(what="film", minor=1000, serves_months=serves)

    assert share == margin_of("TZS", PLOT, [cost], months=months).work_unpaid.costs


def test_halves_go_away_from_zero() -> None:
    """Money is whole: 0.5 is 1, and a loss of 0.5 a square metre is 1."""
    assert 1 == Income(grams=500, price_per_kg=1).minor
    assert (
        -1 == margin_of("TZS", Income(grams=0, price_per_kg=1), [Cost(what="x", minor=1)], ground_m2=2).per_m2
    )


@given(incomes, costs, work)
def test_break_even_price_just_covers(income: Income, some: list[Cost], days: FamilyWork) -> None:
    """At the price the costs are covered; at one less they are not."""
    margin = margin_of("TZS", income, some, work=days).work_paid
    price = margin.break_even.price_per_kg

    assert (price is None) == (income.grams == 0)
    if price is not None:
        assert price * income.grams >= margin.costs * 1000
        assert (price - 1) * income.grams < margin.costs * 1000


@given(incomes, costs, work)
def test_break_even_weight_just_covers(income: Income, some: list[Cost], days: FamilyWork) -> None:
    """With the weight the costs are covered; with a gram less they are not."""
    margin = margin_of("TZS", income, some, work=days).work_paid
    grams = margin.break_even.grams

    assert (grams is None) == (income.price_per_kg == 0)
    if grams is not None:
        assert grams * income.price_per_kg >= margin.costs * 1000
        assert (grams - 1) * income.price_per_kg < margin.costs * 1000


@given(incomes, costs, st.integers(0, 10**9))
def test_a_cost_lowers_the_margin_by_itself(income: Income, some: list[Cost], more: int) -> None:
    """Costs add up to the smallest money, none is lost in rounding."""
    before = margin_of("TZS", income, some).work_unpaid.gross_margin
    after = margin_of("TZS", income, [*some, Cost(what="more", minor=more)]).work_unpaid.gross_margin

    assert more == before - after


@pytest.mark.parametrize(
    ("kind", "told", "word"),
    [
        pytest.param(Income, {"grams": -1, "price_per_kg": 1}, "Marketable fruit", id="negative weight"),
        pytest.param(Income, {"grams": 1, "price_per_kg": -1}, "price of a kilo", id="negative price"),
        pytest.param(Cost, {"what": "film", "minor": -1}, "cost of film", id="negative cost"),
        pytest.param(
            Cost, {"what": "film", "minor": 1, "serves_months": 0}, "time that film", id="serves never"
        ),
        pytest.param(FamilyWork, {"days": -1, "day_rate": 1}, "family work", id="negative days"),
        pytest.param(FamilyWork, {"days": 1, "day_rate": -1}, "day's work", id="negative rate"),
    ],
)
def test_impossible_figures_are_refused(kind: type[Any], told: dict[str, Any], word: str) -> None:
    """One sentence names what cannot be."""
    with pytest.raises(Refused, match=word):
        kind(**told)


def test_what_was_in_fact_paid_counts() -> None:
    """Sales at several prices: their sum is the income, their mean only tells where costs are covered."""
    income = Income(grams=3_000, price_per_kg=3_333, received=10_000)
    margin = margin_of("TZS", income, [Cost(what="compost", minor=4_000)])

    assert (10_000, 6_000, 600) == (
        margin.income,
        margin.work_unpaid.gross_margin,
        margin.work_unpaid.percent_tenths,
    )
    assert BreakEven(price_per_kg=1_334, grams=1_201) == margin.work_unpaid.break_even


def test_nobody_pays_less_than_nothing() -> None:
    """What was paid is an amount."""
    with pytest.raises(Refused, match="What was paid"):
        Income(grams=1, price_per_kg=1, received=-1)


@pytest.mark.parametrize("currency", ["", "tzs", "TZ", "TZSH", "T1S", "ШИЛ"])
def test_a_currency_has_a_code(currency: str) -> None:
    """Money without a currency is no money."""
    with pytest.raises(Refused, match="three capital letters"):
        margin_of(currency, PLOT, [])


def test_impossible_periods_and_grounds_are_refused() -> None:
    """Neither no month nor no ground."""
    with pytest.raises(Refused, match="period"):
        margin_of("TZS", PLOT, [], months=0)
    with pytest.raises(Refused, match="Ground"):
        margin_of("TZS", PLOT, [], ground_m2=0)
