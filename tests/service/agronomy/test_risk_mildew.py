"""Powdery mildew: mild, humid days without rain.

Best at 15 to 25 °C, above 75 and below 98 % humidity; first signs after four days: Eur. J. Plant Pathol. (2006),
s10658-005-5804-6. Rain and dew hold it back: UF/IFAS PP129.
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.risk import Conditions, Day, Level, Risk
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_mildew import mildew_risk

FIGURES = load_risk()
TODAY = date(2026, 4, 10)


def _day(
    before: int, mean_c: float | None = 20, humidity: float | None = 85, rain_mm: float | None = 0
) -> Day:
    return Day(
        on=TODAY - timedelta(days=before),
        min_c=None if mean_c is None else mean_c - 5,
        max_c=None if mean_c is None else mean_c + 5,
        humidity_percent=humidity,
        rain_mm=rain_mm,
    )


def _judged(*days: Day) -> Risk:
    return mildew_risk(FIGURES, Conditions(on=TODAY, days=days))


@pytest.mark.parametrize(
    ("days", "level"), [(1, Level.NONE), (3, Level.NONE), (4, Level.WATCH), (20, Level.WATCH)]
)
def test_days_in_a_row(days: int, level: Level) -> None:
    """Four such days are watched, and no number of days says more."""
    found = _judged(*(_day(before) for before in range(days)))

    assert (level, days) == (found.level, found.reason.values["days"])


@pytest.mark.parametrize(
    "odd",
    [
        pytest.param(_day(2, mean_c=14.9), id="cool"),
        pytest.param(_day(2, mean_c=25.1), id="warm"),
        pytest.param(_day(2, humidity=75), id="dry"),
        pytest.param(_day(2, humidity=98), id="as good as wet"),
        pytest.param(_day(2, rain_mm=1), id="rain"),
        pytest.param(_day(2, humidity=None), id="no humidity known"),
        pytest.param(_day(2, rain_mm=None), id="no rain known"),
        pytest.param(_day(2, mean_c=None), id="no warmth known"),
    ],
)
def test_another_day_ends_the_row(odd: Day) -> None:
    """Of five days the third ends what was before it."""
    found = _judged(odd, *(_day(before) for before in (0, 1, 3, 4)))

    assert (Level.NONE, 2) == (found.level, found.reason.values["days"])


@pytest.mark.parametrize(
    "today",
    [
        pytest.param(_day(0, mean_c=None), id="warmth"),
        pytest.param(_day(0, humidity=None), id="humidity"),
        pytest.param(_day(0, rain_mm=None), id="rain"),
    ],
)
def test_what_is_not_known_of_today_is_unknown(today: Day) -> None:
    """The days before do not tell of today."""
    assert Level.UNKNOWN == _judged(today, *(_day(before) for before in range(1, 6))).level


@given(st.lists(st.floats(1, 100), min_size=4, max_size=10))
def test_rain_every_day_keeps_it_away(rain_mm: list[float]) -> None:
    """What wet leaves bring and what they hold back are opposites."""
    days = [_day(before, rain_mm=fell) for before, fell in enumerate(rain_mm)]

    assert Level.NONE == _judged(*days).level
