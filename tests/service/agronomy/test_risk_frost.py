"""Frost by what stands in a plot and by its height."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.risk import Assumed, Conditions, Day, Level, Risk, Stage, Why
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_frost import altitude_band, frost_risk

FIGURES = load_risk()
TODAY = date(2026, 7, 1)

OPEN = frozenset({Stage.OPEN})
stages = st.none() | st.frozensets(st.sampled_from(Stage))
air = st.floats(min_value=-15, max_value=15)
heights = st.integers(0, 3500)


def _judged(
    min_c: float,
    stages: frozenset[Stage] | None = OPEN,
    plot_m: int | None = None,
    forecast_m: int | None = None,
) -> Risk:
    return frost_risk(
        FIGURES,
        Conditions(
            on=TODAY,
            days=(Day(on=TODAY, min_c=min_c),),
            stages=stages,
            elevation_m=plot_m,
            forecast_elevation_m=forecast_m,
        ),
    )


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


@pytest.mark.parametrize(
    ("stage", "critical_c"),
    # Perry and Poling (1985), figure 1 of an Ontario factsheet, second-hand.
    [(Stage.TIGHT_BUD, -5.5), (Stage.POPCORN, -2.2), (Stage.OPEN, -1.1), (Stage.FRUIT, -2.2)],
)
def test_published_temperatures_of_stages(stage: Stage, critical_c: float) -> None:
    """At its own temperature a stage is hurt even without any margin, and a tenth warmer it is not."""
    one = frozenset({stage})

    assert critical_c == FIGURES.frost.critical_c(stage)
    assert (Level.SEVERE, Why.COLDER_THAN_CRITICAL) == (
        _judged(critical_c, one).level,
        _judged(critical_c, one).reason.why,
    )
    assert Level.HIGH == _judged(critical_c + 0.1, one).level


@pytest.mark.parametrize(
    ("stage", "lowest_f", "highest_f"),
    # NC State, diagnosis of strawberry: open flowers 30 °F, fruit 28 °F, tight buds 22 to 27 °F.
    [(Stage.OPEN, 30, 30), (Stage.FRUIT, 28, 28), (Stage.TIGHT_BUD, 22, 27)],
)
def test_a_second_source_agrees(stage: Stage, lowest_f: float, highest_f: float) -> None:
    """Another state's figures hold ours, to a tenth of a degree."""
    critical_c = FIGURES.frost.critical_c(stage)

    assert _celsius(lowest_f) - 0.1 <= critical_c <= _celsius(highest_f) + 0.1


@pytest.mark.parametrize(
    ("min_c", "level", "why"),
    # Watch from 2 °C, act from 0 °C: common practice, no source, from 2 to 3 °C between station and plants.
    [
        (2.1, Level.NONE, Why.WARM_ENOUGH),
        (2.0, Level.WATCH, Why.COLDER_THAN_WATCH),
        (0.1, Level.WATCH, Why.COLDER_THAN_WATCH),
        (0.0, Level.HIGH, Why.COLDER_THAN_ACT),
        (-1.0, Level.HIGH, Why.COLDER_THAN_ACT),
        (-1.1, Level.SEVERE, Why.COLDER_THAN_CRITICAL),
    ],
)
def test_open_flowers(min_c: float, level: Level, why: Why) -> None:
    """The forecast's minimum is read with a margin for plants near the ground."""
    found = _judged(min_c)

    assert (level, why) == (found.level, found.reason.why)
    assert min_c == found.reason.values["forecast_c"]


def test_a_warning_comes_before_the_margin_is_used_up() -> None:
    """Where plants may be 3 °C colder than the station, none is hurt while nobody is warned."""
    for stage in Stage:
        hurts_from_c = FIGURES.frost.critical_c(stage) + 3
        assert _judged(hurts_from_c, frozenset({stage})).level >= Level.WATCH


def test_the_most_tender_decides() -> None:
    """Buds, fruit and one open flower are judged by the flower."""
    found = _judged(-1.5, frozenset({Stage.TIGHT_BUD, Stage.FRUIT, Stage.OPEN}))

    assert ("open", Level.SEVERE) == (found.reason.values["stage"], found.level)


@pytest.mark.parametrize(
    ("stages", "stage", "assumed"),
    [
        pytest.param(None, "open", Assumed.OPEN_FLOWERS, id="nobody knows"),
        pytest.param(frozenset[Stage](), "tight_bud", Assumed.AS_TIGHT_BUD, id="nothing there"),
    ],
)
def test_what_stands_there_may_be_assumed(
    stages: frozenset[Stage] | None, stage: str, assumed: Assumed
) -> None:
    """What is not known counts as most tender, and the answer says so."""
    found = _judged(0, stages)

    assert stage == found.reason.values["stage"]
    assert assumed in found.assumed


@pytest.mark.parametrize(
    ("plot_m", "forecast_m", "expected_c"),
    [
        # 6.5 °C a kilometre: International Standard Atmosphere, ISO 2533, from memory.
        pytest.param(2_350, 1_400, 3 - 6.5, id="a band up to 2,400 m, a kilometre above"),
        pytest.param(1_400, 1_400, 3 - 1.3, id="the upper edge of its own band"),
        pytest.param(1_350, 2_000, 3, id="below is never warmer"),
    ],
)
def test_height(plot_m: int, forecast_m: int, expected_c: float) -> None:
    """A plot above the place of the forecast is colder; one below it gains nothing."""
    found = _judged(3, plot_m=plot_m, forecast_m=forecast_m)

    assert pytest.approx(expected_c) == found.reason.values["expected_c"]
    assert Assumed.FORECAST_HEIGHT not in found.assumed


@pytest.mark.parametrize(("plot_m", "forecast_m"), [(None, 1_500), (2_500, None), (None, None)])
def test_an_unknown_height_is_said(plot_m: int | None, forecast_m: int | None) -> None:
    """Without both heights the forecast is taken as it is."""
    found = _judged(3, plot_m=plot_m, forecast_m=forecast_m)

    assert 3 == found.reason.values["expected_c"]
    assert Assumed.FORECAST_HEIGHT in found.assumed


@pytest.mark.parametrize(
    ("elevation_m", "band"), [(0, (0, 200)), (199.9, (0, 200)), (200, (200, 400)), (-1, (-200, 0))]
)
def test_bands(elevation_m: float, band: tuple[int, int]) -> None:
    """Each height lies in one band, which begins with its lower edge."""
    assert band == altitude_band(FIGURES.altitude, elevation_m)


def test_no_forecast_is_no_comfort() -> None:
    """Without a minimum nothing is said, least of all that the night is mild."""
    found = frost_risk(FIGURES, Conditions(on=TODAY, stages=OPEN))

    assert (Level.UNKNOWN, "min_c") == (found.level, found.reason.values["needed"])


@given(air, air, stages, heights, heights)
def test_colder_is_never_less_of_a_risk(
    one: float, other: float, some: frozenset[Stage] | None, plot_m: int, forecast_m: int
) -> None:
    """The level does not fall with the temperature."""
    colder, warmer = (_judged(min_c, some, plot_m, forecast_m).level for min_c in sorted((one, other)))

    assert colder >= warmer


@given(air, stages, heights, heights, heights)
def test_higher_is_never_less_of_a_risk(
    min_c: float, some: frozenset[Stage] | None, one: int, other: int, forecast_m: int
) -> None:
    """The level does not fall with the height."""
    lower, higher = (_judged(min_c, some, plot_m, forecast_m).level for plot_m in sorted((one, other)))

    assert higher >= lower


@given(air, st.frozensets(st.sampled_from(Stage), min_size=1), st.sampled_from(Stage))
def test_more_in_the_plot_is_never_less_of_a_risk(min_c: float, some: frozenset[Stage], more: Stage) -> None:
    """One more stage adds to the risk or leaves it."""
    assert _judged(min_c, some | {more}).level >= _judged(min_c, some).level


def test_a_mild_night_names_the_limit_it_stayed_above() -> None:
    """The nearest limit is the one for watching."""
    assert 2.0 == _judged(5).reason.values["limit_c"]
