"""Why a danger is one, in words for officers: what was forecast, for when, and from what it was reckoned."""

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from service.agronomy.risk import Basis, Hazard, Risk, Why
from service.core.nights import night_of

ROUGH: Final = "Reckoned roughly from the day as a whole, since its hours are not known."


def reason_of(risk: Risk, day: date, *, issued_at: datetime, zone: str, metres_from: int | None) -> str:
    """Return the reason for a danger as officers read it."""
    said = _SAID[risk.hazard, risk.reason.why](day, risk.reason.values)
    plots = f", for plots from {metres_from:,} m" if metres_from is not None else ""
    rough = f" {ROUGH}" if risk.basis is Basis.ROUGH_DAY else ""
    local = issued_at.astimezone(ZoneInfo(zone))
    return f"Forecast of {_day(local.date())}, {local:%H:%M}: {said}{plots}.{rough}"


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _frost(day: date, values: Mapping[str, Any]) -> str:
    told = f"lowest {values['forecast_c']:g} °C in the {night_of(day - timedelta(days=1))}"
    if values["expected_c"] == values["forecast_c"]:
        return told
    return f"{told}, {values['expected_c']:.1f} °C where plots lie highest"


def _rain(day: date, values: Mapping[str, Any]) -> str:
    return f"{values['rain_mm']:g} mm of rain on {_day(day)}"


def _hot(day: date, values: Mapping[str, Any]) -> str:
    return (
        f"{values['max_c']:g} °C on {_day(day)}, the last of {values['days']} days at {values['limit_c']:g} °C or more; "
        f"expect fewer and misshapen fruit from {_day(values['effect_from'])} to {_day(values['effect_to'])}"
    )


def _wet_hours(day: date, values: Mapping[str, Any]) -> str:
    return (
        f"leaves wet for {values['hours']} hours one after the other at {values['from_c']:g} to "
        f"{values['to_c']:g} °C, up to {_day(day)}"
    )


def _wet_day(day: date, values: Mapping[str, Any]) -> str:
    return f"a wet {_day(day)} at {values['mean_c']:.0f} °C"


def _mildew(day: date, values: Mapping[str, Any]) -> str:
    return f"{values['days']} mild and humid days without rain up to {_day(day)}"


_Saying = Callable[[date, Mapping[str, Any]], str]
_SAID: Final[Mapping[tuple[Hazard, Why], _Saying]] = {
    **dict.fromkeys(
        (
            (Hazard.FROST, Why.COLDER_THAN_WATCH),
            (Hazard.FROST, Why.COLDER_THAN_ACT),
            (Hazard.FROST, Why.COLDER_THAN_CRITICAL),
        ),
        _frost,
    ),
    (Hazard.HEAVY_RAIN, Why.MUCH_RAIN): _rain,
    **dict.fromkeys(((Hazard.HEAT, Why.HOT_DAYS), (Hazard.HEAT, Why.EXTREME_HEAT)), _hot),
    **dict.fromkeys(((Hazard.GREY_MOULD, Why.WET_HOURS), (Hazard.ANTHRACNOSE, Why.WET_HOURS)), _wet_hours),
    **dict.fromkeys(((Hazard.GREY_MOULD, Why.WET_DAY), (Hazard.ANTHRACNOSE, Why.WET_DAY)), _wet_day),
    (Hazard.MILDEW, Why.MILDEW_DAYS): _mildew,
}
