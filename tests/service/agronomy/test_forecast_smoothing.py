"""The level of a series and how far it lies off, worked out by hand; libraries are asked in tests/oracles."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.forecast_smoothing import Memory, Smoothed, eight_in_ten, smooth, sum_error

STAYS = Memory(newest=0.5, stays=1)
RETURNS = Memory(newest=0.5, stays=0.5)

memories = st.builds(Memory, newest=st.floats(0.05, 1), stays=st.floats(0.05, 1))


def smoothed(values: list[float | None], memory: Memory) -> Smoothed:
    """Smooth a series that holds something."""
    found = smooth(values, memory)
    assert found is not None
    return found


def test_a_level_that_stays_is_plain_smoothing() -> None:
    """By hand: 10, then 10 + (14 - 10) / 2 = 12, then 12 + (10 - 12) / 2 = 11, and 11 for ever."""
    found = smoothed([10, 14, 10], STAYS)

    assert (11, (4, -2)) == (found.level, found.surprises)
    assert [11, 11] == [found.ahead(STAYS, week) for week in (1, 2)]


def test_a_level_that_returns_nears_the_mean() -> None:
    """By hand: mean 12; of 10 is expected 11, 14 surprises by 3 and lifts to 12.5; 12.25 is expected, 12 lies under."""
    found = smoothed([10, 14, 12], RETURNS)

    assert (12, (3, -0.25), 12.125) == (found.mean, found.surprises, found.level)
    assert [12.0625, 12.03125] == [found.ahead(RETURNS, week) for week in (1, 2)]


def test_what_nobody_knows_is_no_surprise() -> None:
    """A gap is neither nothing nor a value: the level goes on as it was expected to."""
    assert smoothed([10, 14, 10], STAYS) == smoothed([None, 10, 14, None, 10, None], STAYS)
    assert smooth([], STAYS) is None
    assert smooth([None, None], STAYS) is None


@given(st.lists(st.floats(0, 100), min_size=1, max_size=12), memories, st.integers(1, 8))
def test_the_level_keeps_within_what_was_seen(values: list[float], memory: Memory, weeks: int) -> None:
    """Levels and what is expected of later weeks never leave the range of the values."""
    found = smoothed([*values], memory)

    for level in (found.level, found.ahead(memory, weeks)):
        assert min(values) - 1e-9 <= level <= max(values) + 1e-9


def test_the_error_of_a_sum_counts_what_stays() -> None:
    """By hand, of two weeks: the first surprise counts 1 in its week and a half in the next, the second 1."""
    assert math.hypot(1.5, 1) == sum_error([1, 1], STAYS)
    assert math.hypot(1.25, 1) == sum_error([1, 1], RETURNS)
    assert math.hypot(0.5, 1) == sum_error([0, 1], STAYS)


@given(st.lists(st.floats(0, 100), min_size=1, max_size=5), memories)
def test_weeks_do_not_err_independently(parts: list[float], memory: Memory) -> None:
    """A sum errs at least as far as independent weeks would, and at most as far as weeks that err alike."""
    alone = [sum_error([0.0] * week + [part], memory) for week, part in enumerate(parts)]
    found = sum_error(parts, memory)

    assert math.hypot(*parts) - 1e-6 <= found <= sum(alone) + 1e-6


@pytest.mark.parametrize(
    ("surprises", "expected"),
    [
        # Student's t at nine in ten: 1.533 with 4 degrees of freedom, 1.440 with 6, 1.310 with 30, 1.282 without end.
        pytest.param([], 1.533 * 10, id="none seen"),
        pytest.param([0, 0], 1.440 * 10 * math.sqrt(4 / 6), id="two of nothing"),
        pytest.param([10] * 26, 1.310 * 10, id="26 as taken"),
        pytest.param([10] * 27, 1.282 * 10, id="27 as taken"),
    ],
)
def test_eight_in_ten(surprises: list[float], expected: float) -> None:
    """What was taken before counts as so many weeks; the fewer there are in all, the wider."""
    assert pytest.approx(expected) == eight_in_ten(surprises, 10, 4)
