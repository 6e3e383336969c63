"""The kilos of the next two weeks: what moves them, what does not, and what the range is made of.

All weights are invented.
"""

import math
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from service.agronomy.figures import FiguresError
from service.agronomy.forecast import Forecast, forecast
from service.agronomy.forecast_figures import DEFAULT_FORECAST, load_forecast
from service.agronomy.forecast_plots import BearingPlot, Pick
from service.agronomy.yield_figures import load_yield

FIGURES, YIELDS = load_forecast(), load_yield()
# A Saturday; the weeks before it begin on Saturdays too.
FIRST = date(2026, 11, 28)
BEGINS = FIRST - timedelta(days=56)
# What 100 plants at full pace are expected to bear in a week.
A_WEEK = 100 * 7 * 300 / 365


def plot(pace: float = 1, *, told: float = 1, age: int = 300, weeks: int = 8) -> BearingPlot:
    """Return 100 plants that bear `pace` times what is expected of them on Mondays and Thursdays.

    `told` is how much of the weeks up to `FIRST` they tell, `age` counts from their first fruit.
    """
    days = [FIRST - timedelta(days=back) for back in range(7 * weeks, 0, -1)]
    share = {0: 4, 3: 3}
    picks = [
        Pick(day, round(pace * A_WEEK * share[day.weekday()] / 7))
        for place, day in enumerate(days)
        if day.weekday() in share and place < told * len(days)
    ]
    return BearingPlot(
        first_fruit_on=FIRST - timedelta(days=age),
        ends_on=FIRST + timedelta(days=951 - age),
        plants=100,
        picks=picks,
    )


def made(*plots: BearingPlot) -> Forecast:
    """Forecast what must be possible."""
    found = forecast(FIGURES, YIELDS, plots, FIRST)
    assert found is not None
    return found


@pytest.mark.parametrize("pace", [0.3, 1, 2.5])
def test_a_steady_district_goes_on(pace: float) -> None:
    """Ten plots that bore alike for eight weeks are expected to go on, whatever their pace."""
    found = made(*[plot(pace)] * 10)

    assert pytest.approx(2 * 10 * pace * A_WEEK, rel=0.01) == found.all.expected
    assert [pytest.approx(10 * pace * A_WEEK, rel=0.01)] * 2 == [week.expected for week in found.weeks]
    assert [10] * 8 == [week.plots for week in found.past]
    assert found.past[0].first == BEGINS


def test_a_range_before_any_surprise_is_the_one_taken() -> None:
    """By hand, of ten plots without a surprise: 4 of 11 weeks as taken, t of 11, and both weeks of the sum together."""
    found = made(*[plot()] * 10)
    taken = math.sqrt(FIGURES.spread.common**2 + FIGURES.spread.alone**2 / 10)
    week = 1.363 * taken * math.sqrt(4 / 11) * 10 * A_WEEK
    lasts = FIGURES.level.newest * FIGURES.level.stays

    assert pytest.approx(week, rel=0.01) == found.weeks[0].high - found.weeks[0].expected
    assert pytest.approx(week * math.hypot(1 + lasts, 1), rel=0.01) == found.all.high - found.all.expected
    assert pytest.approx(2 * found.all.expected) == found.all.high + found.all.low


def test_days_follow_the_weekdays_of_picking() -> None:
    """Mondays and Thursdays bring nearly all; the days add up to the weeks."""
    found = made(*[plot()] * 10)
    by_day = {FIRST + timedelta(days=day): grams for day, grams in enumerate(found.days)}

    assert pytest.approx(found.all.expected) == sum(found.days)
    assert {0, 3} == {day.weekday() for day, grams in by_day.items() if grams > 0.3 * found.weeks[0].expected}
    assert min(found.days) > 0


def test_plots_that_begin_to_bear_are_counted_in() -> None:
    """The district is expected to tell more as young plots come into fruit, which repeating last week cannot know."""
    old, young = [plot()] * 5, [plot(told=0, age=-3)] * 5
    alone, together = made(*old), made(*old, *young)

    # By hand: fruit begins on the fourth day; on the eleven days left the curve has risen to 10 of 60.
    bears = sum(range(11)) / 60 * 100 * 300 / 365
    assert pytest.approx(alone.all.expected + 5 * bears, rel=0.01) == together.all.expected


def test_plots_at_their_end_are_counted_out() -> None:
    """Nothing is expected of plants that are three years old before the two weeks begin."""
    found = made(*[plot()] * 5, *[plot(age=951)] * 5)

    assert pytest.approx(made(*[plot()] * 5).all.expected, rel=0.01) == found.all.expected


def test_who_falls_silent_is_no_crop_failure() -> None:
    """Half of the plots tell nothing for four weeks: less will be told, and what is picked stays about the same."""
    all_tell = made(*[plot()] * 10)
    half = made(*[plot()] * 5, *[plot(told=0.5)] * 5)

    assert half.all.expected < 0.8 * all_tell.all.expected
    assert pytest.approx(all_tell.all.expected, rel=0.01) == half.picked
    assert pytest.approx(all_tell.all.expected, rel=0.01) == all_tell.picked


def test_nothing_ripe_is_a_crop_failure() -> None:
    """The same plots say that nothing is ripe: less is picked, and not just told."""
    bare = plot(told=0.5)
    zeros = [Pick(one.on, 0) for one in plot().picks[len(bare.picks) :]]
    failed = replace(bare, picks=[*bare.picks, *zeros])
    found = made(*[plot()] * 5, *[failed] * 5)

    assert found.picked < 0.8 * made(*[plot()] * 10).picked


def test_a_week_in_which_nobody_told_anything_is_a_gap() -> None:
    """The gateway was down for a week: nothing of it is known, and the forecast is not less for it."""
    there = plot()
    gap = replace(there, picks=[one for one in there.picks if not 14 <= (one.on - BEGINS).days < 21])
    found = made(*[gap] * 10)

    assert found.past[2].told is None
    assert pytest.approx(made(*[there] * 10).all.expected, rel=0.01) == found.all.expected


def test_a_plot_with_many_weights_is_believed_the_further() -> None:
    """Plots of 3 and of half the pace are told apart; one with a single week lies nearer to all others."""
    found = made(*[plot(3)] * 5, *[plot(0.5)] * 5, plot(3, told=1 / 8), plot(told=0))
    fast, slow, brief, silent = (found.paces[place] for place in (0, 5, 10, 11))

    assert slow[0] < silent[0] < brief[0] < fast[0]
    assert 0 == silent[1] < brief[1] < fast[1] < 1


def test_nothing_ripe_anywhere_is_expected_to_last() -> None:
    """Eight weeks of nothing: nothing is expected, on no weekday more than on another."""
    there = plot()
    found = made(replace(there, picks=[one._replace(grams=0) for one in there.picks]))

    assert [0.0] * 4 == [found.all.low, found.all.expected, found.all.high, found.picked]
    assert [0.0] * 14 == list(found.days)


def test_weights_that_came_too_soon_say_nothing_of_a_pace() -> None:
    """They were told and will be, while nothing was expected of these plants: no plot is known by its weights."""
    found = made(plot(age=-60), plot(told=0))

    assert [(1.0, 0.0)] * 2 == list(found.paces)
    assert found.picked == found.all.expected


@pytest.mark.parametrize(
    "plots",
    [
        pytest.param([], id="no plot"),
        pytest.param([plot(told=0)], id="nothing told"),
        pytest.param([plot(weeks=2)], id="two weeks"),
        pytest.param([plot(age=-100)], id="told before anything is expected"),
    ],
)
def test_too_little_is_no_forecast(plots: list[BearingPlot]) -> None:
    """Less than three weeks, or weights that no plant can have borne, say nothing of what comes."""
    assert forecast(FIGURES, YIELDS, plots, FIRST) is None


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        pytest.param("least_weeks = 3", "least_weeks = 9", "not need more", id="more weeks than there are"),
        pytest.param("longest_days = 7", "longest_days = 3", "not be fewer", id="days turned over"),
        pytest.param("stays = 0.75", "stays = 1.5", "level.stays", id="a level that grows by itself"),
    ],
)
def test_senseless_figures_are_refused(tmp_path: Path, right: str, wrong: str, said: str) -> None:
    """A programme's own file keeps the rules of the forecast."""
    path = tmp_path / "own.toml"
    path.write_text(DEFAULT_FORECAST.read_text(encoding="utf-8").replace(right, wrong), encoding="utf-8")

    with pytest.raises(FiguresError, match=said):
        load_forecast(path)
