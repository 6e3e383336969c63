"""Comparing two shares against statsmodels (BSD-3-Clause), which is in deploy/lock-oracles.txt."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from statsmodels.stats.proportion import (
    confint_proportions_2indep,
    proportion_confint,
    samplesize_proportions_2indep_onetail,
)

from service.core.comparing import Share, compare, interval, needed_in_each

# They take seconds to load.
pytestmark = pytest.mark.slow

sizes = st.integers(1, 3000)
parts = st.floats(0, 1)


@given(sizes, parts)
def test_the_interval_of_a_share_is_that_of_statsmodels(of: int, part: float) -> None:
    """Wilson's score."""
    share = Share(count=round(part * of), of=of)

    assert pytest.approx(proportion_confint(share.count, of, method="wilson"), abs=1e-9) == interval(share)


@given(sizes, parts, sizes, parts)
def test_the_interval_of_a_difference_is_that_of_statsmodels(
    of_1: int, part_1: float, of_2: int, part_2: float
) -> None:
    """Newcombe's hybrid of two Wilson scores."""
    first, second = Share(count=round(part_1 * of_1), of=of_1), Share(count=round(part_2 * of_2), of=of_2)
    found = compare(first, second).difference
    theirs = confint_proportions_2indep(
        second.count, of_2, first.count, of_1, method="newcomb", compare="diff"
    )

    assert found is not None
    assert pytest.approx(theirs, abs=1e-9) == (found.low, found.high)


@given(st.floats(0.02, 0.98), st.floats(-0.5, 0.5))
def test_how_many_are_needed_is_that_of_statsmodels(base: float, change: float) -> None:
    """Two-sided at 5 percent, and seen in 80 of 100."""
    assume(0.02 < base + change < 0.98 and abs(change) > 0.005)
    theirs = samplesize_proportions_2indep_onetail(
        change, base, power=0.8, ratio=1, alpha=0.05, value=0, alternative="two-sided"
    )

    assert math.ceil(theirs - 1e-6) <= needed_in_each(base, change) <= math.ceil(theirs + 1e-6)
