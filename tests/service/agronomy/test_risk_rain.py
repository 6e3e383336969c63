"""Heavy rain and hail. All limits are common practice, without a source."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.risk import Basis, Conditions, Day, Hail, Level
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_hail import hail_risk
from service.agronomy.risk_rain import rain_risk

FIGURES = load_risk()
TODAY = date(2026, 4, 2)


def _rain(rain_mm: float | None) -> Level:
    return rain_risk(FIGURES, Conditions(on=TODAY, days=(Day(on=TODAY, rain_mm=rain_mm),))).level


@pytest.mark.parametrize(
    ("rain_mm", "level"),
    [
        (None, Level.UNKNOWN),
        (0, Level.NONE),
        (24.9, Level.NONE),
        (25, Level.WATCH),
        (49.9, Level.WATCH),
        (50, Level.HIGH),
    ],
)
def test_rain(rain_mm: float | None, level: Level) -> None:
    """A limit belongs to the level it opens; no figure is no dry day."""
    assert level == _rain(rain_mm)


@given(st.floats(0, 500), st.floats(0, 500))
def test_more_rain_is_never_less_of_a_risk(one: float, other: float) -> None:
    """The level rises with the rain."""
    assert _rain(min(one, other)) <= _rain(max(one, other))


@pytest.mark.parametrize(
    ("hail", "level"),
    [
        (None, Level.UNKNOWN),
        (Hail.NOT_EXPECTED, Level.NONE),
        (Hail.POSSIBLE, Level.WATCH),
        (Hail.EXPECTED, Level.HIGH),
        (Hail.FALLEN, Level.SEVERE),
    ],
)
def test_hail_is_only_passed_on(hail: Hail | None, level: Level) -> None:
    """What was said of hail makes its level, and the weather's figures do not."""
    weather = (Day(on=TODAY, min_c=5, max_c=31, rain_mm=60),)
    found = hail_risk(FIGURES, Conditions(on=TODAY, days=weather, hail=hail))

    assert level == found.level
    assert (Basis.NOTHING if hail is None else Basis.TOLD) == found.basis
