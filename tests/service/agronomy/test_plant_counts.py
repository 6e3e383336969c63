"""Seedlings and gaps: worked out by hand, and properties over all numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.plant_counts import gaps_of, seedlings_to_order
from service.agronomy.stand import load_stand
from service.core.errors import Refused

FIGURES = load_stand()


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


def test_impossible_counts_are_refused() -> None:
    """More plants than were planted, negative ones, losses of all: one sentence each."""
    with pytest.raises(Refused, match="plants left"):
        gaps_of(FIGURES, 450, 451, 14)
    with pytest.raises(Refused, match="were planted"):
        gaps_of(FIGURES, 0, 0, 14)
    with pytest.raises(Refused, match="number of plants"):
        seedlings_to_order(FIGURES, -1)
    with pytest.raises(Refused, match="seedlings lost"):
        seedlings_to_order(FIGURES, 450, 100)
