"""Grey mould and anthracnose: wet hours within the temperatures each likes, while the stage it needs is there.

A wet spell is a row of wet hours without a dry or unknown one; of its hours those within the temperatures are
counted, and the spell with most of them decides. Where fewer than a day's hours are known, the day's rain or
humidity stands in, roughly and never above watch. No published equation is used: none could be verified.
"""

from collections.abc import Iterable
from itertools import groupby
from typing import Final

from service.agronomy.risk import (
    Assumed,
    Basis,
    Conditions,
    Day,
    Hazard,
    Hour,
    Level,
    Reason,
    Risk,
    Why,
    unknown,
)
from service.agronomy.risk_figures import RiskFigures, WetDisease, Wetness, WetStep

_HOURS_A_DAY: Final = 24


def grey_mould_risk(figures: RiskFigures, conditions: Conditions) -> Risk:
    """Judge grey mould, which enters by open flowers."""
    return _wet_risk(figures, figures.wet_disease(Hazard.GREY_MOULD), conditions)


def anthracnose_risk(figures: RiskFigures, conditions: Conditions) -> Risk:
    """Judge anthracnose of the fruit."""
    return _wet_risk(figures, figures.wet_disease(Hazard.ANTHRACNOSE), conditions)


def is_wet(figures: Wetness, hour: Hour) -> bool | None:
    """Tell whether leaves were wet in an hour: by the sensor, else by rain or humid air; None if nobody knows."""
    if hour.leaf_wet is not None:
        return hour.leaf_wet
    if hour.rain_mm is None and hour.humidity_percent is None:
        return None
    return (hour.rain_mm or 0) > 0 or (hour.humidity_percent or 0) >= figures.humidity_percent


def _wet_risk(figures: RiskFigures, disease: WetDisease, conditions: Conditions) -> Risk:
    if conditions.stages is not None and disease.needs not in conditions.stages:
        reason = Reason(why=Why.STAGE_ABSENT, values={"stage": disease.needs.value})
        return Risk(hazard=disease.hazard, level=Level.NONE, basis=Basis.TOLD, reason=reason)
    assumed = (Assumed.DISEASE_STAGE,) if conditions.stages is None else ()
    known = _known(figures.wetness, conditions.hours)
    by_hours = _by_hours(figures.wetness, disease, conditions.hours, assumed)
    # A few hours may show a risk, but not that there is none.
    if len(known) >= _HOURS_A_DAY or by_hours.level >= Level.WATCH:
        return by_hours
    return _by_day(figures, disease, conditions.day(conditions.on), assumed)


def _by_hours(
    figures: Wetness, disease: WetDisease, hours: tuple[Hour | None, ...], assumed: tuple[Assumed, ...]
) -> Risk:
    spells = _spells(figures, hours)
    reached = [(step, _most(spells, step)) for step in disease.steps]
    step, most = next((row for row in reversed(reached) if row[1] >= row[0].hours), (None, reached[0][1]))
    shown = step or disease.steps[0]
    known = _known(figures, hours)
    if any(hour.leaf_wet is None for hour in known):
        assumed = (*assumed, Assumed.WET_BY_AIR)
    low_c, high_c = disease.tested_c
    if any(not low_c <= hour.air_c <= high_c for spell in spells for hour in spell):
        assumed = (*assumed, Assumed.BEYOND_TESTED)
    if len(known) < _HOURS_A_DAY:
        assumed = (*assumed, Assumed.HOURS_MISSING)
    return Risk(
        hazard=disease.hazard,
        level=step.level if step else Level.NONE,
        basis=Basis.HOURS,
        reason=Reason(
            why=Why.WET_HOURS if step else Why.DRY_OR_OUTSIDE,
            values={
                "hours": most,
                "limit_hours": shown.hours,
                "from_c": shown.between_c[0],
                "to_c": shown.between_c[1],
            },
        ),
        assumed=assumed,
    )


def _by_day(figures: RiskFigures, disease: WetDisease, day: Day, assumed: tuple[Assumed, ...]) -> Risk:
    """Stand in for hours: a wet day of the right warmth is watched, whatever more it may have been."""
    if day.mean_c is None or (day.rain_mm is None and day.humidity_percent is None):
        return unknown(disease.hazard, "hours", "or", "min_c", "max_c", "rain_mm")
    low_c, high_c = disease.steps[0].between_c
    rain_mm, humidity = day.rain_mm or 0, day.humidity_percent or 0
    wet = rain_mm >= figures.wet_day.rain_mm or humidity >= figures.wet_day.humidity_percent
    watch = wet and low_c <= day.mean_c <= high_c
    return Risk(
        hazard=disease.hazard,
        level=Level.WATCH if watch else Level.NONE,
        basis=Basis.ROUGH_DAY,
        reason=Reason(
            why=Why.WET_DAY if watch else Why.DRY_OR_OUTSIDE,
            values={"mean_c": day.mean_c, "rain_mm": rain_mm, "from_c": low_c, "to_c": high_c},
        ),
        assumed=assumed,
    )


def _known(figures: Wetness, hours: Iterable[Hour | None]) -> list[Hour]:
    """Return the hours of which it can be told whether they were wet."""
    return [hour for hour in hours if hour is not None and is_wet(figures, hour) is not None]


def _spells(figures: Wetness, hours: Iterable[Hour | None]) -> list[list[Hour]]:
    """Return the rows of wet hours."""
    rows = groupby(hours, lambda hour: hour is not None and is_wet(figures, hour) is True)
    return [[hour for hour in row if hour is not None] for wet, row in rows if wet]


def _most(spells: list[list[Hour]], step: WetStep) -> int:
    """Return the most hours of one spell that lie within a step's temperatures."""
    low_c, high_c = step.between_c
    return max((sum(low_c <= hour.air_c <= high_c for hour in spell) for spell in spells), default=0)
