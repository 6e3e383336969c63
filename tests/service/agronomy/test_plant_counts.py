"""Seedlings, gaps and recounts: worked out by hand, and properties over all numbers."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.plant_counts import PlantCount, gaps_of, plants_on_day, seedlings_to_order
from service.agronomy.stand import load_stand
from service.core.errors import Refused

FIGURES = load_stand()
PLANTED_ON = date(2026, 3, 2)
PLANTED = PlantCount(counted_on=PLANTED_ON, plants=450)


def _count(age: int, plants: int) -> PlantCount:
    return PlantCount(counted_on=PLANTED_ON + timedelta(days=age), plants=plants)


def test_losses_are_ordered_as_well() -> None:
    """For 450 plants and one in ten lost, 500 seedlings; that nobody named the losses is said."""
    order = seedlings_to_order(FIGURES, 450)

    assert (500, 10, True) == (order.seedlings, order.loss_percent, order.loss_assumed)
    assert not seedlings_to_order(FIGURES, 450, 10).loss_assumed


@given(plants=st.integers(min_value=0, max_value=10**8), loss=st.integers(min_value=0, max_value=90))
def test_an_order_is_enough_and_no_more(plants: int, loss: int) -> None:
    """After the losses the plants are there, and with one seedling less they would not be."""
    seedlings = seedlings_to_order(FIGURES, plants, loss).seedlings

    assert seedlings * (100 - loss) >= plants * 100
    assert (seedlings - 1) * (100 - loss) < plants * 100 or plants == 0


@pytest.mark.parametrize(
    ("standing", "age", "expected"),
    [
        pytest.param(405, 14, (45, 10.0, True, 50), id="young, so filled, with losses"),
        pytest.param(405, 29, (45, 10.0, True, 50), id="the last day of filling"),
        pytest.param(405, 30, (45, 10.0, False, None), id="too old to fill"),
        pytest.param(450, 14, (0, 0.0, False, None), id="no gap"),
        pytest.param(0, 14, (450, 100.0, True, 500), id="all gone"),
    ],
)
def test_gaps(standing: int, age: int, expected: tuple[int, float, bool, int | None]) -> None:
    """Gaps are filled while the stand is young, and the seedlings for them are named."""
    gaps = gaps_of(FIGURES, 450, standing, age)
    seedlings = gaps.order.seedlings if gaps.order else None

    assert expected == (gaps.missing, gaps.percent, gaps.refill, seedlings)


@pytest.mark.parametrize(
    ("age", "plants", "overdue"),
    [
        pytest.param(0, 450, False, id="as planted"),
        pytest.param(119, 450, False, id="the day before a recount"),
        pytest.param(120, 450, True, id="a recount is due"),
        pytest.param(124, 430, False, id="counted today"),
        pytest.param(243, 430, False, id="not yet the next"),
        pytest.param(244, 430, True, id="the next is due"),
        pytest.param(260, 400, False, id="counted again, the last word of the day"),
    ],
)
def test_the_newest_count_holds(age: int, plants: int, *, overdue: bool) -> None:
    """Every later figure rests on the newest count, and none on a count that comes after it."""
    counts = [_count(260, 410), _count(260, 400), _count(124, 430), _count(-5, 9_000)]
    standing = plants_on_day(FIGURES, PLANTED, counts, PLANTED_ON + timedelta(days=age))

    assert (plants, overdue) == (standing.plants, standing.overdue)


@given(st.lists(st.builds(_count, st.integers(-30, 1200), st.integers(0, 9_999))), st.integers(0, 1200))
def test_a_count_is_never_carried_back(counts: list[PlantCount], age: int) -> None:
    """What is counted after a day changes nothing on it."""
    day = PLANTED_ON + timedelta(days=age)
    before = [count for count in counts if count.counted_on <= day]

    assert plants_on_day(FIGURES, PLANTED, before, day) == plants_on_day(FIGURES, PLANTED, counts, day)


def test_impossible_counts_are_refused() -> None:
    """More plants than were planted, negative ones, days before planting: one sentence each."""
    with pytest.raises(Refused, match="plants left"):
        gaps_of(FIGURES, 450, 451, 14)
    with pytest.raises(Refused, match="were planted"):
        gaps_of(FIGURES, 0, 0, 14)
    with pytest.raises(Refused, match="number of plants"):
        _count(1, -1)
    with pytest.raises(Refused, match="seedlings lost"):
        seedlings_to_order(FIGURES, 450, 100)
    with pytest.raises(Refused, match="planting day"):
        plants_on_day(FIGURES, PLANTED, [], PLANTED_ON - timedelta(days=1))
