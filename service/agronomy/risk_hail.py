"""Hail: nothing here foresees it; what a forecast or an officer says is passed on at its level."""

from typing import Final

from service.agronomy.risk import Basis, Conditions, Hail, Hazard, Level, Reason, Risk, Why, unknown
from service.agronomy.risk_figures import RiskFigures

_LEVELS: Final = {
    Hail.NOT_EXPECTED: Level.NONE,
    Hail.POSSIBLE: Level.WATCH,
    Hail.EXPECTED: Level.HIGH,
    # Fruit and leaves are wounded already, and rot follows.
    Hail.FALLEN: Level.SEVERE,
}


def hail_risk(_: RiskFigures, conditions: Conditions) -> Risk:
    """Judge by what was said of hail; nothing said is not known."""
    if conditions.hail is None:
        return unknown(Hazard.HAIL, "hail")
    reason = Reason(why=Why.HAIL_TOLD, values={"hail": conditions.hail.value})
    return Risk(hazard=Hazard.HAIL, level=_LEVELS[conditions.hail], basis=Basis.TOLD, reason=reason)
