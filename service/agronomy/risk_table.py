"""All risks of a plot on a day: the table of what judges which.

Pests that farmers scout for are judged by village, in `service.agronomy.risk_scouting`.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from service.agronomy.risk import Conditions, Hazard, Risk
from service.agronomy.risk_figures import RiskFigures
from service.agronomy.risk_frost import frost_risk
from service.agronomy.risk_hail import hail_risk
from service.agronomy.risk_heat import heat_risk
from service.agronomy.risk_mildew import mildew_risk
from service.agronomy.risk_rain import rain_risk
from service.agronomy.risk_wetness import anthracnose_risk, grey_mould_risk

Judge = Callable[[RiskFigures, Conditions], Risk]

JUDGES: Final[Mapping[Hazard, Judge]] = MappingProxyType(
    {
        Hazard.FROST: frost_risk,
        Hazard.HAIL: hail_risk,
        Hazard.HEAVY_RAIN: rain_risk,
        Hazard.HEAT: heat_risk,
        Hazard.GREY_MOULD: grey_mould_risk,
        Hazard.ANTHRACNOSE: anthracnose_risk,
        Hazard.MILDEW: mildew_risk,
    }
)


def risks_of(figures: RiskFigures, conditions: Conditions) -> tuple[Risk, ...]:
    """Return every risk of the table, the gravest first, those nobody can judge last."""
    judged = (judge(figures, conditions) for judge in JUDGES.values())
    return tuple(sorted(judged, key=lambda risk: -risk.level))
