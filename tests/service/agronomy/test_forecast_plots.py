"""One plot's weeks before a forecast: what a weight stands for, and what a day without one says."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.forecast_figures import load_forecast
from service.agronomy.forecast_plots import BearingPlot, Pick, PlotWeeks, Window, weeks_of
from service.agronomy.yield_curve import Bearing, expected
from service.agronomy.yield_figures import load_yield

YIELDS = load_yield()
PICKS = load_forecast().picks
FIRST = date(2026, 11, 28)
WEEKS = 4
BEGINS = FIRST - timedelta(days=7 * WEEKS)
FRUIT = date(2026, 7, 1)
# At full pace a plant is expected to bear 300 / 365 g a day (shipped figures; common practice, no source).
A_DAY = 100 * 300 / 365


def plot(
    *told: tuple[int, int], first_fruit_on: date = FRUIT, ends_on: date = date(2029, 1, 1)
) -> BearingPlot:
    """Return 100 plants that told grams on days counted from the beginning of the window."""
    return BearingPlot(
        first_fruit_on=first_fruit_on,
        ends_on=ends_on,
        plants=100,
        picks=[Pick(BEGINS + timedelta(days=day), grams) for day, grams in told],
    )


def weeks(seen: BearingPlot) -> PlotWeeks:
    """Return its weeks before a forecast."""
    return weeks_of(seen, Window(FIRST, WEEKS, YIELDS), PICKS)


def days_covered(found: PlotWeeks) -> list[float]:
    """Return of how many days' fruit something is known, week by week."""
    return [round(grams / A_DAY, 6) for grams in found.expected_covered]


def test_a_week_without_a_weight_is_not_known() -> None:
    """Told and covered are apart: on the 10th day nothing was told, and nothing is known of it."""
    found = weeks(plot((3, 300), (6, 300)))

    assert [600, None, None, None] == found.told
    assert [7, 0, 0, 0] == days_covered(found)
    assert [600, 0, 0, 0] == found.covered


def test_nothing_ripe_is_known() -> None:
    """A weight of zero says that these days bore nothing."""
    found = weeks(plot((3, 0), (6, 0)))

    assert [0, None, None, None] == found.told
    assert [7, 0, 0, 0] == days_covered(found)


def test_a_weight_is_spread_over_the_days_it_stands_for() -> None:
    """Picked on the ninth day, three days after the last: one of these days lies in the first week."""
    found = weeks(plot((5, 0), (8, 300)))

    assert [0, 300, None, None] == found.told
    assert [pytest.approx(100), pytest.approx(200), 0, 0] == found.covered
    # Of the first weight the usual four days are known, of the second one day in the first week and two in the next.
    assert [4 + 1, 2, 0, 0] == days_covered(found)


USUAL = ((3, 300), (6, 300), (9, 300), (12, 300))


@pytest.mark.parametrize(
    ("last", "stands_for"),
    [
        # By hand: 100 g a day are usual; of six days 600 g, of the usual four 400 g; the geometric mean is 490 g.
        pytest.param((18, 600), 6, id="a pick was missed"),
        pytest.param((18, 495), 6, id="nearer to six days"),
        pytest.param((18, 485), 4, id="nearer to four"),
        pytest.param((18, 300), 4, id="a pick was not told"),
        pytest.param((27, 700), 7, id="fruit older than a week is lost"),
        pytest.param((27, 300), 4, id="silent for two weeks"),
        pytest.param((15, 900), 3, id="a good pick in its time"),
    ],
)
def test_missed_or_not_told(last: tuple[int, int], stands_for: int) -> None:
    """After a longer time the plot's own usual pace decides for how many days a weight stands."""
    before, found = weeks(plot(*USUAL)), weeks(plot(*USUAL, last))

    assert stands_for == round(sum(days_covered(found)) - sum(days_covered(before)))


def test_who_picks_once_a_week_is_usual_too() -> None:
    """Without picks that follow each other soon nothing is usual, and a weight stands for the whole week."""
    found = weeks(plot((-1, 700), (6, 700), (13, 700), (20, 700), (27, 700)))

    assert [7, 7, 7, 7] == days_covered(found)
    assert [700] * 4 == [round(grams) for grams in found.covered]


def test_what_leads_into_the_window_is_only_read() -> None:
    """A weight of the week before says for how many days the first one stands, and is itself not told in it."""
    found = weeks(plot((-2, 5000), (1, 300)))

    assert [300, None, None, None] == found.told
    assert pytest.approx(200) == found.covered[0]


@pytest.mark.parametrize(
    "first_fruit_on",
    [FRUIT, BEGINS + timedelta(days=10), FIRST + timedelta(days=3), FIRST + timedelta(days=90)],
)
def test_what_is_expected_is_the_curve(first_fruit_on: date) -> None:
    """Week by week, those to come included, it is what `yield_curve` expects of the same stand."""
    found = weeks(plot(first_fruit_on=first_fruit_on))
    stand = Bearing(first_fruit_on=first_fruit_on, plants=100)
    days = [BEGINS + timedelta(days=7 * week) for week in range(WEEKS + 2)]

    assert [
        pytest.approx(100 * expected(YIELDS, stand, day, day + timedelta(days=6)).grams_a_plant)
        for day in days
    ] == found.expected


def test_nothing_is_expected_after_the_end() -> None:
    """From the day on which a stand is replaced nothing is expected of it."""
    found = weeks(plot(ends_on=BEGINS + timedelta(days=10)))

    assert [7, 3, 0, 0, 0, 0] == [round(grams / A_DAY, 6) for grams in found.expected]


told_days = st.dictionaries(st.integers(-4, 27), st.integers(0, 5_000), max_size=20)


@given(told_days)
def test_nothing_is_lost_or_known_twice(told: dict[int, int]) -> None:
    """What was told is told once, what is covered never more than that, and no week has more than seven days."""
    found = weeks(plot(*sorted(told.items())))
    in_window = sum(grams for day, grams in told.items() if day >= 0)

    assert in_window == sum(grams or 0 for grams in found.told)
    assert sum(found.covered) <= in_window + 1e-6
    assert all(days <= 7 for days in days_covered(found))
