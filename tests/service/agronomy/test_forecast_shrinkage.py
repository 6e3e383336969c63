"""How far a plot's own figures are believed, against a published example."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.forecast_shrinkage import Own, own, structure

# Claims of bodily injury in five states over twelve quarters: mean amount of a claim, and number of claims. Hachemeister
# (1975), as the data set "hachemeister" of the R package actuar has it; from memory, and borne out by the sums below.
RATIOS = (
    (1738, 1642, 1794, 2051, 2079, 2234, 2032, 2035, 2115, 2262, 2267, 2517),
    (1364, 1408, 1597, 1444, 1342, 1675, 1470, 1448, 1464, 1831, 1612, 1471),
    (1759, 1685, 1479, 1763, 1674, 2103, 1502, 1622, 1828, 2155, 2233, 2059),
    (1223, 1146, 1010, 1257, 1426, 1532, 1953, 1123, 1343, 1243, 1762, 1306),
    (1456, 1499, 1609, 1741, 1482, 1572, 1606, 1735, 1607, 1573, 1613, 1690),
)
WEIGHTS = (
    (7861, 9251, 8706, 8575, 7917, 8263, 9456, 8003, 7365, 7832, 7849, 9077),
    (1622, 1742, 1523, 1515, 1622, 1602, 1964, 1515, 1527, 1748, 1654, 1861),
    (1147, 1357, 1329, 1204, 998, 1077, 1277, 1218, 896, 1003, 1108, 1121),
    (407, 396, 348, 341, 315, 328, 352, 331, 287, 384, 321, 342),
    (2902, 3172, 3046, 3068, 2693, 2910, 3275, 2697, 2663, 3017, 3242, 3425),
)


def seen(*pairs: tuple[float, float]) -> Own:
    """Sum up pairs that hold something."""
    found = own(pairs)
    assert found is not None
    return found


def test_the_published_example_comes_out() -> None:
    """Its structure, shares and premiums are those in actuar's vignette "credibility" (from memory)."""
    states = [seen(*zip(*rows, strict=True)) for rows in zip(RATIOS, WEIGHTS, strict=True)]
    found = structure(states)

    assert (1684, 89_639, 139_120_026) == (round(found.mean), round(found.between), round(found.within))
    assert [0.9847, 0.9276, 0.8985, 0.7279, 0.9588] == [
        round(found.believed(state.weight), 4) for state in states
    ]
    assert [2055, 1524, 1793, 1443, 1603] == [round(found.of(state)) for state in states]


def test_plots_that_cannot_be_told_apart_are_all_alike() -> None:
    """Where plots differ no more than each from itself, what differs is chance, and everybody is taken for the mean."""
    plots = [seen((1, 1), (3, 1)), seen((3, 1), (1, 1)), seen((1, 2), (3, 2))]
    found = structure(plots)

    assert 0 == found.between
    assert [2, 2, 2] == [found.of(plot) for plot in plots]


@pytest.mark.parametrize(
    "plots",
    [
        pytest.param([seen((5, 2), (7, 2))], id="one plot alone"),
        pytest.param([seen((5, 2)), seen((7, 2))], id="seen once each"),
    ],
)
def test_too_little_to_tell_apart(plots: list[Own]) -> None:
    """What was seen of everybody together is all there is."""
    found = structure(plots)

    assert [6] * len(plots) == [found.of(plot) for plot in plots]
    assert 6 == found.of(None)


def test_nothing_seen_is_nothing_summed() -> None:
    """A period without weight says nothing."""
    assert own([]) is None
    assert own([(5, 0)]) is None
    assert seen((5, 2)) == own([(5, 2), (9, 0)])


weighed = st.lists(
    st.lists(st.tuples(st.floats(0, 5), st.floats(0.1, 100)), min_size=1, max_size=4), min_size=1, max_size=8
)


@given(weighed)
def test_nobody_is_taken_for_more_than_was_seen(rows: list[list[tuple[float, float]]]) -> None:
    """A plot is taken for something between its own mean and that of all, the nearer to its own the more was seen."""
    plots = [seen(*row) for row in rows]
    found = structure(plots)

    for plot in plots:
        low, high = sorted((plot.mean, found.mean))
        assert low - 1e-9 <= found.of(plot) <= high + 1e-9
        assert 0 <= found.believed(plot.weight) <= found.believed(2 * plot.weight) <= 1
