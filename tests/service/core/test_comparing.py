"""Comparing two shares: published figures, and what must hold of every comparison."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.comparing import Finding, Share, compare, interval, needed_in_each
from service.core.errors import Refused


@st.composite
def shares(draw: st.DrawFn) -> Share:
    """Any share of somebody."""
    of = draw(st.integers(1, 5000))
    return Share(count=draw(st.integers(0, of)), of=of)


@pytest.mark.parametrize(
    ("first", "second", "low", "high"),
    [
        pytest.param((56, 70), (48, 80), 0.0524, 0.3339, id="a"),
        pytest.param((9, 10), (3, 10), 0.1705, 0.8090, id="b"),
        pytest.param((5, 56), (0, 29), -0.0381, 0.1926, id="d"),
        pytest.param((0, 10), (0, 10), -0.2775, 0.2775, id="f"),
        pytest.param((10, 10), (0, 10), 0.6075, 1.0, id="h"),
    ],
)
def test_the_published_examples(
    first: tuple[int, int], second: tuple[int, int], low: float, high: float
) -> None:
    """Newcombe 1998, table II, method 10: the first share less the second (from memory; see tests/oracles too)."""
    found = compare(Share(count=second[0], of=second[1]), Share(count=first[0], of=first[1])).difference

    assert found is not None
    assert pytest.approx((low, high), abs=0.0001) == (found.low, found.high)


def test_nothing_is_said_of_nobody() -> None:
    """A group without anybody has no share, and no difference."""
    found = compare(Share(count=0, of=0), Share(count=3, of=9))

    assert (None, Finding.NOBODY) == (found.difference, found.finding)
    assert (0.0, 1.0) == interval(Share(count=0, of=0))


@pytest.mark.parametrize(
    ("first", "second", "finding"),
    [
        ((40, 100), (60, 100), Finding.MORE),
        ((60, 100), (40, 100), Finding.FEWER),
        ((4, 10), (6, 10), Finding.TOO_SMALL),
    ],
)
def test_a_finding_needs_an_interval_without_zero(
    first: tuple[int, int], second: tuple[int, int], finding: Finding
) -> None:
    """The same shares of ten farmers say nothing."""
    assert (
        finding is compare(Share(count=first[0], of=first[1]), Share(count=second[0], of=second[1])).finding
    )


@given(shares(), shares())
def test_the_other_way_round_is_the_same_difference(first: Share, second: Share) -> None:
    """Whichever group is named first, and the difference lies within its own interval, which lies within what is."""
    there, back = compare(first, second).difference, compare(second, first).difference

    assert there is not None
    assert back is not None
    assert pytest.approx((-there.high, -there.low)) == (back.low, back.high)
    assert -1.000001 <= there.low <= there.value <= there.high <= 1.000001


@given(st.floats(0.05, 0.9), st.floats(0.01, 0.04))
def test_a_smaller_change_needs_more_farmers(base: float, change: float) -> None:
    """Half the change takes about four times as many."""
    assert 3 * needed_in_each(base, change) < needed_in_each(base, change / 2)


@pytest.mark.parametrize(("base", "change"), [(0, 0.1), (0.5, 0.5), (0.4, 0), (0.2, -0.2)])
def test_what_is_no_share_is_refused(base: float, change: float) -> None:
    """Nobody can plan for it."""
    with pytest.raises(Refused, match="between 0 and 100 percent"):
        needed_in_each(base, change)


def test_no_share_is_larger_than_its_whole() -> None:
    """A count that is wrong is found where it is made."""
    with pytest.raises(ValueError, match="4 of 3"):
        Share(count=4, of=3)
