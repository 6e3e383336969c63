"""Frost: the coldest of a night, the height of the plot and what stands there.

What counts is the most tender thing in the plot. The limits are forecast minima, which stand above the
temperature that hurts, as plants near the ground are colder than a station. Plots are judged by band of height,
so that a warning reaches neighbours alike: each counts as lying at the upper edge of its band. One above the
place of the forecast is taken colder by the standard atmosphere; one below is never taken warmer, as cold air
flows down into hollows.
"""

from typing import Final

from service.agronomy.risk import Assumed, Basis, Conditions, Hazard, Level, Reason, Risk, Stage, Why, unknown
from service.agronomy.risk_figures import Altitude, RiskFigures

_METRES_A_KILOMETRE: Final = 1000


def altitude_band(figures: Altitude, elevation_m: float) -> tuple[int, int]:
    """Return the band of heights, lower edge included and upper not, in which a plot lies."""
    low = int(elevation_m // figures.band_m) * figures.band_m
    return low, low + figures.band_m


def frost_risk(figures: RiskFigures, conditions: Conditions) -> Risk:
    """Judge the night's frost; the forecast minimum of the day is needed."""
    forecast_c = conditions.day(conditions.on).min_c
    if forecast_c is None:
        return unknown(Hazard.FROST, "min_c")
    stage, assumed = _tender(figures, conditions.stages)
    colder_c = _colder(figures.altitude, conditions)
    if colder_c is None:
        assumed = (*assumed, Assumed.FORECAST_HEIGHT)
    expected_c = forecast_c - (colder_c or 0)
    frost = figures.frost
    critical_c = frost.critical_c(stage)
    moved = critical_c - frost.critical_c(Stage.OPEN)
    limits = (
        (Level.SEVERE, Why.COLDER_THAN_CRITICAL, critical_c),
        (Level.HIGH, Why.COLDER_THAN_ACT, frost.act_c + moved),
        (Level.WATCH, Why.COLDER_THAN_WATCH, frost.watch_c + moved),
    )
    level, why, limit_c = next(
        (row for row in limits if expected_c <= row[2]), (Level.NONE, Why.WARM_ENOUGH, limits[-1][2])
    )
    values = {
        "forecast_c": forecast_c,
        "expected_c": expected_c,
        "limit_c": limit_c,
        "critical_c": critical_c,
        "stage": stage.value,
    }
    reason = Reason(why=why, values=values)
    return Risk(hazard=Hazard.FROST, level=level, basis=Basis.DAYS, reason=reason, assumed=assumed)


def _tender(figures: RiskFigures, stages: frozenset[Stage] | None) -> tuple[Stage, tuple[Assumed, ...]]:
    """Return the stage that is hurt first."""
    if stages is None:
        return Stage.OPEN, (Assumed.OPEN_FLOWERS,)
    if not stages:
        return Stage.TIGHT_BUD, (Assumed.AS_TIGHT_BUD,)
    return max(sorted(stages), key=figures.frost.critical_c), ()


def _colder(figures: Altitude, conditions: Conditions) -> float | None:
    """Return by how much the plot is colder than the place of the forecast; None when a height is not known."""
    if conditions.elevation_m is None or conditions.forecast_elevation_m is None:
        return None
    above_m = altitude_band(figures, conditions.elevation_m)[1] - conditions.forecast_elevation_m
    return max(0.0, above_m * figures.colder_c_per_1000_m / _METRES_A_KILOMETRE)
