"""All risks together, and what is refused before any is judged."""

import math
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from service.agronomy.figures import FiguresError
from service.agronomy.risk import Conditions, Day, Hail, Hazard, Hour, Level, Stage
from service.agronomy.risk_figures import DEFAULT_RISK, load_risk
from service.agronomy.risk_table import JUDGES, risks_of
from service.core.errors import Refused

FIGURES = load_risk()
TODAY = date(2026, 7, 1)


def test_every_hazard_of_a_plot_is_judged() -> None:
    """Nothing is left out but what a village is asked for; each judge answers for its own hazard."""
    found = risks_of(FIGURES, Conditions(on=TODAY))

    assert set(Hazard) - {Hazard.PESTS} == set(JUDGES) == {risk.hazard for risk in found}


def test_knowing_nothing_is_no_comfort() -> None:
    """Without data every risk is unknown, and each names what it needs."""
    found = risks_of(FIGURES, Conditions(on=TODAY))

    assert {Level.UNKNOWN} == {risk.level for risk in found}
    assert all(risk.reason.values["needed"] for risk in found)


def test_the_gravest_stands_first() -> None:
    """A cold, dry night with hail about: frost, then hail, then what is none or not known."""
    found = risks_of(
        FIGURES,
        Conditions(
            on=TODAY,
            days=(Day(on=TODAY, min_c=-2, max_c=18, rain_mm=0),),
            stages=frozenset({Stage.OPEN}),
            hail=Hail.POSSIBLE,
        ),
    )

    assert [(Hazard.FROST, Level.SEVERE), (Hazard.HAIL, Level.WATCH)] == [
        (risk.hazard, risk.level) for risk in found[:2]
    ]
    assert (Hazard.MILDEW, Level.UNKNOWN) == (found[-1].hazard, found[-1].level)


@pytest.mark.parametrize(
    ("kind", "told", "word"),
    [
        pytest.param(Day, {"on": TODAY, "min_c": 12, "max_c": 11}, "above its highest", id="turned over"),
        pytest.param(Day, {"on": TODAY, "max_c": 86}, "temperature", id="Fahrenheit"),
        pytest.param(Day, {"on": TODAY, "min_c": math.nan}, "temperature", id="no number"),
        pytest.param(Day, {"on": TODAY, "rain_mm": -1}, "Rain", id="negative rain"),
        pytest.param(Day, {"on": TODAY, "humidity_percent": 101}, "Humidity", id="too humid"),
        pytest.param(Hour, {"air_c": 70}, "temperature", id="an hour's Fahrenheit"),
        pytest.param(Hour, {"air_c": 20, "rain_mm": -1}, "Rain", id="an hour's negative rain"),
        pytest.param(Hour, {"air_c": 20, "humidity_percent": -1}, "Humidity", id="an hour too dry"),
        pytest.param(Conditions, {"on": TODAY, "elevation_m": 9_000}, "height", id="a plot in the sky"),
        pytest.param(Conditions, {"on": TODAY, "forecast_elevation_m": -500}, "height", id="a station below"),
    ],
)
def test_impossible_weather_is_refused(kind: type[Any], told: dict[str, Any], word: str) -> None:
    """One sentence names what cannot be."""
    with pytest.raises(Refused, match=word):
        kind(**told)


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        pytest.param('stage = "popcorn"', 'stage = "open"', "each stage", id="a stage left out"),
        pytest.param("watch_c = 2.0", "watch_c = -1.0", "before acting", id="watching after acting"),
        pytest.param("act_c = 0.0", "act_c = -1.5", "before acting", id="acting after the harm"),
        pytest.param("between_c = [20, 30]", "between_c = [30, 20]", "lower one", id="turned over"),
        pytest.param('level = "severe"', 'level = "awful"', "watch, high, severe", id="no such level"),
        pytest.param('level = "watch", hours = 6', 'level = "high", hours = 6', "first step", id="no watch"),
        pytest.param("hours = 12", "hours = 5", "must rise", id="fewer hours for more"),
        pytest.param('hazard = "anthracnose"', 'hazard = "grey_mould"', "once each", id="one left out"),
        pytest.param("window_days = 7", "window_days = 15", "overlap", id="windows that overlap"),
    ],
)
def test_senseless_figures_are_refused(tmp_path: Path, right: str, wrong: str, said: str) -> None:
    """A programme's own file cannot turn a warning round."""
    path = tmp_path / "own.toml"
    path.write_text(DEFAULT_RISK.read_text(encoding="utf-8").replace(right, wrong, 1), encoding="utf-8")

    with pytest.raises(FiguresError, match=said):
        load_risk(path)
