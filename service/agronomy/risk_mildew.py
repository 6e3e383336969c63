"""Powdery mildew: mild, humid days without rain, one after the other.

Wet leaves hold it back, so that it threatens when grey mould does not. No count of hours could be verified for
it; the level never rises above watch.
"""

from datetime import timedelta
from itertools import count, takewhile

from service.agronomy.risk import Basis, Conditions, Day, Hazard, Level, Reason, Risk, Why, unknown
from service.agronomy.risk_figures import Mildew, RiskFigures


def mildew_risk(figures: RiskFigures, conditions: Conditions) -> Risk:
    """Judge mildew by the days up to this one; temperatures, humidity and rain of the day are needed.

    A day of which something is not known ends the row.
    """
    mildew = figures.mildew
    today = conditions.day(conditions.on)
    if today.mean_c is None or today.humidity_percent is None or today.rain_mm is None:
        return unknown(Hazard.MILDEW, "min_c", "max_c", "humidity_percent", "rain_mm")
    back = (conditions.day(conditions.on - timedelta(days=before)) for before in count())
    days = sum(1 for _ in takewhile(lambda day: _suits(mildew, day), back))
    watch = days >= mildew.days
    return Risk(
        hazard=Hazard.MILDEW,
        level=Level.WATCH if watch else Level.NONE,
        basis=Basis.DAYS,
        reason=Reason(
            why=Why.MILDEW_DAYS if watch else Why.FEW_MILDEW_DAYS,
            values={"days": days, "limit_days": mildew.days},
        ),
    )


def _suits(mildew: Mildew, day: Day) -> bool:
    if day.mean_c is None or day.humidity_percent is None or day.rain_mm is None:
        return False
    warm = mildew.between_c[0] <= day.mean_c <= mildew.between_c[1]
    # The study names both limits of humidity as outside.
    humid = mildew.humidity_percent[0] < day.humidity_percent < mildew.humidity_percent[1]
    return warm and humid and day.rain_mm < mildew.rain_below_mm
