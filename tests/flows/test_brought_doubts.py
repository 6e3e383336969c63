"""What a clerk is asked about: a table of baskets beside what was known of their farmers."""

import pytest

from flows.brought_doubts import FarOff, Known, far_off


@pytest.mark.parametrize(
    ("accepted", "rejected", "announced", "baskets", "expected"),
    [
        pytest.param(12_000, 0, 12_000, (), None, id="as announced"),
        pytest.param(120_000, 0, 12_000, (), FarOff.ANNOUNCED, id="a nought too many"),
        pytest.param(1_200, 0, 12_000, (), FarOff.ANNOUNCED, id="a nought too few"),
        pytest.param(36_000, 0, 12_000, (), None, id="three times as much"),
        pytest.param(0, 6_000, 60_000, (), FarOff.ANNOUNCED, id="nothing accepted of what was announced"),
        pytest.param(0, 60_000, 60_000, (), FarOff.NONE_ACCEPTED, id="all came and none is accepted"),
        pytest.param(5_000, 0, 0, (), FarOff.ANNOUNCED, id="said nothing would come"),
        pytest.param(2_500, 0, 0, (), None, id="a few kilos are no slip"),
        pytest.param(500, 0, 2_500, (), None, id="a little less of little"),
        pytest.param(50_000, 0, None, (9_000, 11_000, 10_000), FarOff.USUAL, id="five times the usual"),
        pytest.param(2_000, 0, None, (9_000, 11_000, 10_000), FarOff.USUAL, id="a fifth of the usual"),
        pytest.param(40_000, 0, None, (9_000, 11_000, 10_000), None, id="four times the usual"),
        pytest.param(50_000, 0, 50_000, (9_000, 11_000, 10_000), None, id="much, but announced"),
        pytest.param(20_000, 0, None, (9_000, 11_000), None, id="too few baskets to tell"),
        pytest.param(25_000, 0, None, (), FarOff.PLANTS, id="more than plants bear"),
        pytest.param(24_000, 0, None, (), None, id="as much as plants bear"),
    ],
)
def test_what_lies_far_off_is_asked_about(
    accepted: int, rejected: int, announced: int | None, baskets: tuple[int, ...], expected: FarOff | None
) -> None:
    """By what was announced, else by what is usual, else by 400 plants."""
    known = Known(announced=announced, baskets=baskets, plants=400)

    assert expected == far_off(accepted, rejected, known, held=False)


def test_under_a_hold_nobody_is_asked_why_nothing_is_accepted() -> None:
    """There nothing may be."""
    known = Known(announced=5_000, baskets=(), plants=400)

    assert far_off(0, 5_000, known, held=True) is None
