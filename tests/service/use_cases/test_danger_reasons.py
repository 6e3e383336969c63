"""Every risk that can become a danger has its words, for officers to judge by."""

from datetime import UTC, date, datetime, timedelta
from typing import Final

import pytest

from service.agronomy.risk import Conditions, Day, Hazard, Hour, Level
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_table import JUDGES
from service.agronomy.risk_words import to_do
from service.use_cases.weather.reasons import reason_of
from service.web.words import HAZARDS

ON: Final = date(2026, 11, 26)
ISSUED: Final = datetime(2026, 11, 25, 3, 0, tzinfo=UTC)
ZONE: Final = "Africa/Dar_es_Salaam"


def days(**figures: float) -> tuple[Day, ...]:
    """Five days alike, the last of them the one judged."""
    return tuple(Day(on=ON - timedelta(days=ago), **figures) for ago in range(5))


CASES: Final = {
    "a cool night": (
        Hazard.FROST,
        Conditions(on=ON, days=days(min_c=1.4)),
        "lowest 1.4 °C in the night of",
    ),
    "a frost": (Hazard.FROST, Conditions(on=ON, days=days(min_c=-0.4)), "night of Wed 25 to Thu 26 Nov"),
    "a hard frost": (Hazard.FROST, Conditions(on=ON, days=days(min_c=-4)), "lowest -4 °C"),
    "rain": (Hazard.HEAVY_RAIN, Conditions(on=ON, days=days(rain_mm=61.6)), "61.6 mm of rain on 26 Nov"),
    "hot days": (
        Hazard.HEAT,
        Conditions(on=ON, days=days(max_c=31)),
        "31 °C on 26 Nov, the last of 5 days at 30 °C or more; expect fewer and misshapen fruit from 20 Dec to 14 Jan",
    ),
    "extreme heat": (Hazard.HEAT, Conditions(on=ON, days=days(max_c=43)), "43 °C on 26 Nov"),
    "a wet day": (
        Hazard.GREY_MOULD,
        Conditions(on=ON, days=days(min_c=15, max_c=24, rain_mm=9)),
        "a wet 26 Nov at 20 °C. Reckoned roughly",
    ),
    "a wet warm day": (
        Hazard.ANTHRACNOSE,
        Conditions(on=ON, days=days(min_c=20, max_c=28, rain_mm=9)),
        "a wet 26 Nov at 24 °C",
    ),
    "wet hours": (
        Hazard.GREY_MOULD,
        Conditions(on=ON, hours=(Hour(air_c=20, leaf_wet=True),) * 24),
        "leaves wet for 24 hours one after the other at 15 to 25 °C, up to 26 Nov",
    ),
    "wet warm hours": (
        Hazard.ANTHRACNOSE,
        Conditions(on=ON, hours=(Hour(air_c=27, leaf_wet=True),) * 24),
        "leaves wet for 24 hours one after the other at 25 to 30 °C",
    ),
    "mild and humid days": (
        Hazard.MILDEW,
        Conditions(on=ON, days=days(min_c=15, max_c=23, rain_mm=0, humidity_percent=85)),
        "5 mild and humid days without rain up to 26 Nov",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_danger_says_why(case: str) -> None:
    """With the moment of the forecast, the figures and the days."""
    hazard, conditions, words = CASES[case]
    risk = JUDGES[hazard](load_risk(), conditions)

    said = reason_of(risk, ON, issued_at=ISSUED, zone=ZONE, metres_from=None)
    assert Level.WATCH <= risk.level
    assert said.startswith("Forecast of 25 Nov, 06:00: ")
    assert words in said


def test_whose_plots() -> None:
    """The height from which on plots are threatened stands in the reason."""
    hazard, conditions, _ = CASES["a frost"]
    risk = JUDGES[hazard](load_risk(), conditions)

    said = reason_of(risk, ON, issued_at=ISSUED, zone=ZONE, metres_from=2000)
    assert said.endswith("lowest -0.4 °C in the night of Wed 25 to Thu 26 Nov, for plots from 2,000 m.")


def test_all_that_is_judged_is_told() -> None:
    """No hazard but hail, which no figure foresees, is without a case; each has its name and says what to do."""
    assert set(JUDGES) - {Hazard.HAIL} == {hazard for hazard, _, _ in CASES.values()}
    assert set(JUDGES) <= set(HAZARDS)
    assert all(to_do(hazard, level) for hazard in Hazard for level in Level)
