"""Heavy rain, by the millimetres of a day."""

from service.agronomy.risk import Basis, Conditions, Hazard, Level, Reason, Risk, Why, unknown
from service.agronomy.risk_figures import RiskFigures


def rain_risk(figures: RiskFigures, conditions: Conditions) -> Risk:
    """Judge the day's rain, which is needed."""
    rain_mm = conditions.day(conditions.on).rain_mm
    if rain_mm is None:
        return unknown(Hazard.HEAVY_RAIN, "rain_mm")
    steps = ((Level.HIGH, figures.rain.act_mm), (Level.WATCH, figures.rain.watch_mm))
    level, limit_mm = next((row for row in steps if rain_mm >= row[1]), (Level.NONE, figures.rain.watch_mm))
    why = Why.LITTLE_RAIN if level is Level.NONE else Why.MUCH_RAIN
    reason = Reason(why=why, values={"rain_mm": rain_mm, "limit_mm": limit_mm})
    return Risk(hazard=Hazard.HEAVY_RAIN, level=level, basis=Basis.DAYS, reason=reason)
