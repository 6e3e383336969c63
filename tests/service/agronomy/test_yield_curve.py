"""What a stand is expected to bear, and how a farmer's weights are held against it.

No open series of strawberry weights was found, so that these weights are invented.
"""

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.calendar import load_calendar
from service.agronomy.figures import FiguresError
from service.agronomy.yield_curve import (
    Against,
    Bearing,
    FirstWeight,
    Weight,
    expected,
    judge_first_weight,
    own_pace,
    picks_missed,
    share_at,
)
from service.agronomy.yield_figures import DEFAULT_YIELD, load_yield
from service.core.errors import Refused

FIGURES = load_yield()
PLANTED_ON = date(2026, 3, 2)
FIRST_FRUIT_ON = load_calendar().first_fruit_between(PLANTED_ON)[0]
STAND = Bearing(first_fruit_on=FIRST_FRUIT_ON, plants=450)

ages = st.integers(min_value=-200, max_value=1200)


def _day(since_first_fruit: int) -> date:
    return FIRST_FRUIT_ON + timedelta(days=since_first_fruit)


def _weights(every: int, grams: int, first: int, last: int) -> list[Weight]:
    return [Weight(picked_on=_day(age), grams=grams) for age in range(first, last + 1, every)]


@pytest.mark.parametrize(
    ("age", "share"),
    # The shipped points (common practice, no source) and halfway between two of them.
    [(-1, 0), (0, 0), (30, 0.5), (60, 1), (200, 1), (365, 1), (700, 0.8), (931, 0.6), (2000, 0.6)],
)
def test_pace_by_age(age: int, share: float) -> None:
    """Nothing before first fruit, straight lines between the points, the last share afterwards."""
    assert pytest.approx(share) == share_at(FIGURES, age)


def test_full_pace_bears_the_grams_of_the_year() -> None:
    """Between day 60 and day 365 a day bears a 365th of the year's 150, 300 and 450 g a plant."""
    days = 306
    found = expected(FIGURES, STAND, _day(60), _day(365))

    assert pytest.approx(300 * days / 365) == found.grams_a_plant
    assert (56_589, 113_178, 169_767) == (found.low, found.typical, found.high)


def test_a_pick_weighs_little() -> None:
    """Picking all year round gives a few grams a plant and pick; at 100 to 130 picks, 3 to 4 g of 400 g a year.

    Worked out from a full year's weight, which is common practice without a source.
    """
    week = expected(FIGURES, STAND, _day(100), _day(106))

    assert 1 < week.grams_a_plant / 2.5 < 4


def test_months_move_fruit_and_make_none(tmp_path: Path) -> None:
    """A season of a programme's own takes from some months what it gives to others."""
    path = tmp_path / "own.toml"
    text = DEFAULT_YIELD.read_text(encoding="utf-8")
    path.write_text(text.replace("months = [1.0, 1.0,", "months = [1.5, 0.5,"), encoding="utf-8")
    own = load_yield(path)
    full = Bearing(first_fruit_on=date(2026, 9, 1), plants=100)
    january = (date(2027, 1, 1), date(2027, 1, 28))
    february = (date(2027, 2, 1), date(2027, 2, 28))

    flat = expected(FIGURES, full, *january).grams_a_plant
    assert pytest.approx(1.5 * flat) == expected(own, full, *january).grams_a_plant
    assert pytest.approx(0.5 * flat) == expected(own, full, *february).grams_a_plant


@given(ages, st.integers(0, 300), st.integers(0, 300))
def test_a_span_is_its_parts(age: int, days: int, more: int) -> None:
    """Two spans after each other bear what the whole bears."""
    whole = expected(FIGURES, STAND, _day(age), _day(age + days + more + 1)).grams_a_plant
    first = expected(FIGURES, STAND, _day(age), _day(age + days)).grams_a_plant
    second = expected(FIGURES, STAND, _day(age + days + 1), _day(age + days + more + 1)).grams_a_plant

    assert pytest.approx(first + second) == whole


@given(ages, st.integers(0, 300), st.integers(1, 100_000))
def test_bounds(age: int, days: int, plants: int) -> None:
    """The range never turns over, no day bears more than the full pace, and all plants bear alike."""
    stand = Bearing(first_fruit_on=FIRST_FRUIT_ON, plants=plants)
    found = expected(FIGURES, stand, _day(age), _day(age + days))

    assert 0 <= found.low <= found.typical <= found.high
    assert found.high <= 450 / 365 * (days + 1) * plants + 1
    assert abs(found.typical - found.grams_a_plant * plants) <= 0.5 + 1e-6


@pytest.mark.parametrize(
    ("grams", "against"),
    # Every three days at full pace from 450 plants: 3 * 300 / 365 * 450 = 1,110 g typically.
    [
        pytest.param(400, Against.BELOW, id="a third"),
        pytest.param(1_110, Against.WITHIN, id="typical"),
        pytest.param(2_000, Against.ABOVE, id="nearly twice"),
    ],
)
def test_own_pace(grams: int, against: Against) -> None:
    """Weights are compared with what this stand was expected to bear since the first of them."""
    pace = own_pace(FIGURES, STAND, _weights(3, grams, 90, 179), _day(179))

    assert pace is not None
    assert (against, _day(90), 30 * grams) == (pace.against, pace.since, pace.grams)
    assert pytest.approx(100 * grams / 1_110, rel=0.01) == pace.percent
    assert pytest.approx(30 * grams / 450) == pace.grams_a_plant


@pytest.mark.parametrize(
    ("weights", "until"),
    [
        pytest.param([], 200, id="none"),
        pytest.param(_weights(3, 1_000, 90, 116), 116, id="27 days"),
        pytest.param(_weights(10, 1_000, 90, 150), 160, id="seven weights"),
        pytest.param(_weights(3, 1_000, -60, -1), 60, id="all before first fruit"),
        pytest.param(_weights(3, 1_000, 90, 179), 80, id="all later than asked for"),
    ],
)
def test_too_few_weights_are_no_pace(weights: list[Weight], until: int) -> None:
    """Nobody is judged by a handful of weights."""
    assert own_pace(FIGURES, STAND, weights, _day(until)) is None


def test_nothing_expected_is_no_percentage(tmp_path: Path) -> None:
    """Weights from months in which nothing was expected lie above, by no percentage."""
    path = tmp_path / "own.toml"
    months = ", ".join(["0.0", "0.0", "0.0", "4.0"] * 3)
    text = DEFAULT_YIELD.read_text(encoding="utf-8")
    path.write_text(text.replace(", ".join(["1.0"] * 12), months), encoding="utf-8")
    stand = Bearing(first_fruit_on=date(2026, 9, 1), plants=10)
    weights = [Weight(picked_on=date(2026, 9, 1) + timedelta(days=day), grams=5) for day in range(40)]
    pace = own_pace(load_yield(path), stand, weights, date(2026, 10, 10))

    assert pace is not None
    assert (None, Against.ABOVE, 200) == (pace.percent, pace.against, pace.grams)


MONDAYS_AND_THURSDAYS = (0, 3)


@pytest.mark.parametrize(
    ("picked", "missed"),
    [
        pytest.param((1, 4, 8, 11), (), id="every day"),
        pytest.param((2, 3, 7, 12), (), id="a day sooner or later"),
        pytest.param((1, 1, 8, 11), (4,), id="two weights on one day"),
        pytest.param((1, 6, 11), (4, 8), id="two days off is missed"),
        pytest.param((), (1, 4, 8, 11), id="none"),
    ],
)
def test_picks_missed(picked: tuple[int, ...], missed: tuple[int, ...]) -> None:
    """In June 2026 the 1st is a Monday: picking falls on the 1st, 4th, 8th and 11th."""
    found = picks_missed(
        [date(2026, 6, day) for day in picked], MONDAYS_AND_THURSDAYS, date(2026, 6, 1), date(2026, 6, 13)
    )

    assert missed == tuple(day.day for day in found)


@given(st.sets(st.integers(0, 60)), st.sets(st.integers(0, 6)), st.integers(0, 60))
def test_one_more_weight_never_misses_more(picked: set[int], pick_days: set[int], more: int) -> None:
    """A weight closes one picking day at most, and opens none."""
    start = date(2026, 6, 1)

    def missed(days: set[int]) -> int:
        found = picks_missed(
            [start + timedelta(days=day) for day in days], pick_days, start, start + timedelta(days=60)
        )
        return len(found)

    assert 0 <= missed(picked) - missed(picked | {more}) <= 1


@pytest.mark.parametrize(
    ("age", "said"),
    [
        # Chandler (2004): 24 to 44 days from open flower to ripe fruit.
        pytest.param(0, FirstWeight.DATE_DOUBTFUL, id="the planting day"),
        pytest.param(23, FirstWeight.DATE_DOUBTFUL, id="no flower ripens in 23 days"),
        pytest.param(24, FirstWeight.FLOWERS_LEFT, id="the quickest flower"),
        # Orde and Sideman, New Hampshire: within 10 weeks; G. Johnson, Univ. Delaware: 12 to 14 weeks.
        pytest.param(70, FirstWeight.FLOWERS_LEFT, id="ten weeks"),
        pytest.param(98, FirstWeight.FLOWERS_LEFT, id="fourteen weeks"),
        pytest.param(143, FirstWeight.FLOWERS_LEFT, id="the day before"),
        # 120 days of taking flowers off (common practice, no source) and Chandler's 24.
        pytest.param(144, FirstWeight.IN_TIME, id="as expected"),
    ],
)
def test_an_early_weight_is_noticed(age: int, said: FirstWeight) -> None:
    """Fruit that cannot be there yet casts doubt on the planting date or on the flowers."""
    picked_on = PLANTED_ON + timedelta(days=age)

    assert said == judge_first_weight(FIGURES, PLANTED_ON, FIRST_FRUIT_ON, picked_on)


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        pytest.param("[150, 300, 450]", "[300, 150, 450]", "not fall", id="a range turned over"),
        pytest.param("[[0, 0.0], [60,", "[[60, 0.0], [60,", "rise from 0", id="points that do not begin"),
        pytest.param("[365, 1.0]", "[60, 1.0]", "rise from 0", id="points that stand still"),
        pytest.param("months = [1.0,", "months = [2.0,", "mean", id="a year that grew"),
    ],
)
def test_senseless_figures_are_refused(tmp_path: Path, right: str, wrong: str, said: str) -> None:
    """A programme's own file keeps the rules of the curve."""
    path = tmp_path / "own.toml"
    path.write_text(DEFAULT_YIELD.read_text(encoding="utf-8").replace(right, wrong), encoding="utf-8")

    with pytest.raises(FiguresError, match=said):
        load_yield(path)


def test_impossible_input_is_refused() -> None:
    """One sentence names what cannot be."""
    with pytest.raises(Refused, match="number of plants"):
        Bearing(first_fruit_on=FIRST_FRUIT_ON, plants=0)
    with pytest.raises(Refused, match="weight"):
        Weight(picked_on=FIRST_FRUIT_ON, grams=-1)
    with pytest.raises(Refused, match="days of a yield"):
        expected(FIGURES, STAND, _day(1), _day(0))
    with pytest.raises(Refused, match="before the first"):
        picks_missed([], MONDAYS_AND_THURSDAYS, _day(1), _day(0))
