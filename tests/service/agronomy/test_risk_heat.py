"""Heat, by days one after the other.

Pollen lost its germination at 30 °C by day: Karapatzak et al. (2012), Ann. Appl. Biol. Three days and the weeks
in which it shows are common practice without a source; 42 °C comes from a study of two Japanese cultivars.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.risk import Assumed, Conditions, Day, Level, Risk, Why
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_heat import heat_risk

FIGURES = load_risk()
TODAY = date(2026, 2, 10)


def _judged(*max_c: float | None) -> Risk:
    """Judge days that end today."""
    days = tuple(
        Day(on=TODAY - timedelta(days=before), max_c=value) for before, value in enumerate(reversed(max_c))
    )
    return heat_risk(FIGURES, Conditions(on=TODAY, days=days))


@pytest.mark.parametrize(
    ("max_c", "level", "days"),
    [
        pytest.param((30, 30, 30), Level.WATCH, 3, id="three hot days"),
        pytest.param((31, 32, 33, 34), Level.WATCH, 4, id="four"),
        pytest.param((35, 35, 29.9), Level.NONE, 0, id="over today"),
        pytest.param((35, 29.9, 35, 35), Level.NONE, 2, id="broken off"),
        pytest.param((35, None, 35, 35), Level.NONE, 2, id="a day nobody knows"),
        pytest.param((20, 42), Level.HIGH, 1, id="one day is enough"),
        pytest.param((42, 20), Level.NONE, 0, id="yesterday's heat"),
    ],
)
def test_levels(max_c: tuple[float | None, ...], level: Level, days: int) -> None:
    """The row of hot days up to today is counted."""
    found = _judged(*max_c)

    assert (level, days) == (found.level, found.reason.values["days"])


def test_what_is_lost_shows_weeks_later() -> None:
    """The reason says when fruit will be fewer: four weeks after the first hot day to seven after the last."""
    values = _judged(31, 31, 31).reason.values

    assert date(2026, 2, 8) + timedelta(weeks=4) == values["effect_from"]
    assert TODAY + timedelta(weeks=7) == values["effect_to"]


def test_extreme_heat_says_what_it_assumed() -> None:
    """The study's heat lasted four hours, of which a day's maximum says nothing."""
    found = _judged(43)

    assert (Why.EXTREME_HEAT, (Assumed.FOUR_HOURS,)) == (found.reason.why, found.assumed)
    assert () == _judged(31, 31, 31).assumed


def test_an_unknown_day_is_unknown() -> None:
    """Hot days before do not tell of today."""
    assert Level.UNKNOWN == _judged(35, 35, 35, None).level


@given(st.lists(st.floats(20, 50), min_size=1, max_size=8), st.integers(0, 7), st.floats(0, 10))
def test_hotter_is_never_less_of_a_risk(max_c: list[float], place: int, more: float) -> None:
    """Warming any of the days does not lower the level."""
    hotter = list(max_c)
    hotter[place % len(max_c)] += more

    assert _judged(*hotter).level >= _judged(*max_c).level
