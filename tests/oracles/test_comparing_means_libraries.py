"""Comparing two means against scipy and statsmodels (both BSD-3-Clause), which are in deploy/lock-oracles.txt."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import t as student
from statsmodels.stats.weightstats import CompareMeans, DescrStatsW

from service.core.comparing_means import Sample, compare_means, student_quantile

# They take seconds to load.
pytestmark = pytest.mark.slow

groups = st.lists(st.integers(0, 4_000).map(lambda grams: grams / 1000), min_size=2, max_size=40)


def sample(kilos: list[float]) -> Sample:
    """Return what the database adds up."""
    return Sample(of=len(kilos), sum=sum(kilos), squares=sum(one * one for one in kilos))


@given(groups, groups)
def test_the_interval_of_a_difference_of_means_is_that_of_statsmodels(
    first: list[float], second: list[float]
) -> None:
    """Welch's, as `CompareMeans.tconfint_diff(usevar="unequal")` has it."""
    # Where nobody differs by a gram, sums of squares are no measure of how far.
    assume(max(first) - min(first) > 0.01 and max(second) - min(second) > 0.01)
    found = compare_means(sample(first), sample(second)).difference
    theirs = CompareMeans(DescrStatsW(second), DescrStatsW(first)).tconfint_diff(usevar="unequal")

    assert found is not None
    assert pytest.approx(theirs, abs=1e-9) == (found.low, found.high)


@given(st.floats(0.5, 0.9995), st.floats(1, 100_000))
def test_students_quantile_is_that_of_scipy(share: float, freedom: float) -> None:
    """From one degree of freedom, where it has hardly a middle, to so many that it is the normal one."""
    assert pytest.approx(student.ppf(share, freedom), rel=1e-8, abs=1e-9) == student_quantile(share, freedom)
