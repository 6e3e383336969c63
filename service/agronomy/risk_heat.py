"""Heat: hot days one after the other spoil flowers, which shows weeks later in fewer and misshapen fruit."""

from datetime import timedelta
from itertools import count, takewhile

from service.agronomy.risk import Assumed, Basis, Conditions, Hazard, Level, Reason, Risk, Value, Why, unknown
from service.agronomy.risk_figures import RiskFigures


def heat_risk(figures: RiskFigures, conditions: Conditions) -> Risk:
    """Judge the heat of the days up to this one; its highest temperature is needed.

    A day of which nothing is known ends the row of hot days.
    """
    heat = figures.heat
    max_c = conditions.day(conditions.on).max_c
    if max_c is None:
        return unknown(Hazard.HEAT, "max_c")
    back = (conditions.day(conditions.on - timedelta(days=before)) for before in count())
    hot = tuple(takewhile(lambda day: day.max_c is not None and day.max_c >= heat.max_c, back))
    first = hot[-1].on if hot else conditions.on
    values: dict[str, Value] = {
        "days": len(hot),
        "max_c": max_c,
        "limit_c": heat.max_c,
        "effect_from": first + timedelta(weeks=heat.effect_weeks[0]),
        "effect_to": conditions.on + timedelta(weeks=heat.effect_weeks[1]),
    }
    assumed: tuple[Assumed, ...] = ()
    level, why = Level.NONE, Why.COOL_ENOUGH
    if max_c >= heat.extreme_c:
        level, why, assumed = Level.HIGH, Why.EXTREME_HEAT, (Assumed.FOUR_HOURS,)
    elif len(hot) >= heat.days:
        level, why = Level.WATCH, Why.HOT_DAYS
    reason = Reason(why=why, values=values)
    return Risk(hazard=Hazard.HEAT, level=level, basis=Basis.DAYS, reason=reason, assumed=assumed)
