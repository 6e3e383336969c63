"""Comparing two means: published values of Student's distribution, and what too few say."""

import pytest

from service.core.comparing import Finding
from service.core.comparing_means import Sample, compare_means, student_quantile


def sample(*kilos: float) -> Sample:
    """Return what the database adds up."""
    return Sample(of=len(kilos), sum=sum(kilos), squares=sum(one * one for one in kilos))


@pytest.mark.parametrize(
    ("freedom", "t"), [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042), (120, 1.980)]
)
def test_students_quantile_is_that_of_the_tables(freedom: int, t: float) -> None:
    """The column of 0.975 in NIST/SEMATECH's handbook, section 1.3.6.7.2 (from memory)."""
    assert t == round(student_quantile(0.975, freedom), 3)


def test_two_groups_by_hand() -> None:
    """Means 2 and 6, variances 1/3 and 4/3 of the means: 5/3 squared by 1/18 + 16/18 are 2.94 degrees of freedom.

    t of it is 3.22, times the root of 5/3 is 4.16.
    """
    found = compare_means(sample(1, 2, 3), sample(4, 6, 8)).difference

    assert found is not None
    assert (4.0, -0.16, 8.16) == (found.value, round(found.low, 2), round(found.high, 2))


@pytest.mark.parametrize(
    ("first", "second", "finding"),
    [
        pytest.param((), (0.3, 0.4), Finding.NOBODY, id="nobody"),
        pytest.param((0.5,), (0.3, 0.4), Finding.NOBODY, id="one"),
        pytest.param((0.5, 0.5), (0.3, 0.3), Finding.NOBODY, id="no scatter"),
        pytest.param((0.3, 0.5), (0.3, 0.6), Finding.TOO_SMALL, id="too small"),
        pytest.param((0.30, 0.31, 0.32), (0.50, 0.51, 0.52), Finding.MORE, id="more"),
        pytest.param((0.50, 0.51, 0.52), (0.30, 0.31, 0.32), Finding.FEWER, id="less"),
    ],
)
def test_what_may_be_said(first: tuple[float, ...], second: tuple[float, ...], finding: Finding) -> None:
    """Of groups in which nobody scatters nothing is said, be they ever so far apart."""
    assert finding is compare_means(sample(*first), sample(*second)).finding
