"""Which risks a day's weather brings a plot."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Final

import click

from service.agronomy.figures import possible
from service.agronomy.risk import Conditions, Day, Hail, Hour, Level, Risk, Stage, Why
from service.agronomy.risk_figures import RiskFigures, load_risk
from service.agronomy.risk_scouting import Share, judge_shares
from service.agronomy.risk_table import risks_of
from service.agronomy.risk_words import to_do
from service.cli.arguments import DAY
from service.cli.calculators.shape import WHOLE, Answer, Argument, Calculator
from service.core.errors import Refused

_NOTHING: Final = "none"
_HOURS_A_DAY: Final = 24
# Longer rows change nothing.
_MOST_DAYS: Final = 60
_MOST_HOURS: Final = 7 * _HOURS_A_DAY


def _compute(
    *,
    on: date,
    tmin_c: float | None,
    tmax_c: float | None,
    rain_mm: float | None,
    humidity_percent: float | None,
    days: int,
    wet_hours: int | None,
    wet_c: float | None,
    stages: Sequence[str],
    hail: str | None,
    elevation_m: float | None,
    forecast_elevation_m: float | None,
    **scouted: int | None,
) -> Answer:
    possible("The days alike", days, 1, _MOST_DAYS, "days")
    alike = [
        Day(
            on=on - timedelta(days=before),
            min_c=tmin_c,
            max_c=tmax_c,
            rain_mm=rain_mm,
            humidity_percent=humidity_percent,
        )
        for before in range(days)
    ]
    conditions = Conditions(
        on=on,
        days=tuple(alike),
        hours=_hours(wet_hours, wet_c),
        stages=_stages(stages),
        elevation_m=elevation_m,
        forecast_elevation_m=forecast_elevation_m,
        hail=None if hail is None else Hail(hail),
    )
    figures = load_risk()
    found = (*_scouted(figures, **scouted), *risks_of(figures, conditions))
    return Answer(
        values={"risks": [_values(risk) for risk in found]},
        lines=_lines(found),
        assumed={f"{risk.hazard}": " ".join(risk.assumed) for risk in found if risk.assumed},
    )


def _hours(wet: int | None, wet_c: float | None) -> tuple[Hour, ...]:
    """Return a day of hours of which the first are wet; none where nobody told."""
    if wet is None and wet_c is None:
        return ()
    if wet is None or wet_c is None:
        raise Refused("Wet hours are told with their temperature: give both --wet-hours and --wet-temp.")
    possible("The wet hours", wet, 0, _MOST_HOURS, "hours")
    dry = max(0, _HOURS_A_DAY - wet)
    return tuple(Hour(air_c=wet_c, leaf_wet=at < wet) for at in range(wet + dry))


def _scouted(
    figures: RiskFigures,
    looked: int | None,
    found: int | None,
    looked_before: int | None,
    found_before: int | None,
) -> Iterator[Risk]:
    """Yield the risk of a pest by the looks of a village; none where nobody told of them."""
    told = (looked, found, looked_before, found_before)
    if told == (None,) * len(told):
        return
    if looked is None or found is None or looked_before is None or found_before is None:
        raise Refused(
            "A village is judged by two weeks: give --looked, --found, --looked-before and --found-before."
        )
    now, then = Share(looked=looked, found=found), Share(looked=looked_before, found=found_before)
    yield judge_shares(figures.scouting, then, now)


def _stages(told: Sequence[str]) -> frozenset[Stage] | None:
    """Return what stands in the plot; None where nobody told, nothing where that was told."""
    if not told:
        return None
    if _NOTHING in told:
        if set(told) != {_NOTHING}:
            raise Refused(f"Either {_NOTHING} stands in the plot or something: leave out one of the stages.")
        return frozenset()
    return frozenset(map(Stage, told))


def _values(risk: Risk) -> dict[str, object]:
    return {
        "hazard": risk.hazard,
        "level": risk.level.name.lower(),
        "basis": risk.basis,
        "why": risk.reason.why,
        "values": dict(risk.reason.values),
        "assumed": risk.assumed,
    }


def _lines(found: Sequence[Risk]) -> Iterator[str]:
    for risk in found:
        values = ", ".join(f"{name} {value}" for name, value in risk.reason.values.items())
        yield f"{risk.hazard}: {to_do(risk.hazard, risk.level)} ({risk.reason.why}{f': {values}' if values else ''})."
    if any(risk.reason.why is not Why.NO_DATA and risk.level >= Level.WATCH for risk in found):
        yield "A risk leads to clean plants and a look by an officer, never to a spray by itself."


RISK: Final = Calculator(
    name="risk",
    about="""Compute which risks weather brings.

    Frost, heat, rain, hail and three diseases on one plot and day, and a pest of a village by how many farmers looked
    and found it in a week and in the one two weeks before. What is not given is not known, and a risk nobody can judge
    is told as unknown, never as none. Hours without wet leaves are told by --wet-hours 0.

    Example: trussline calc risk --date 2026-07-10 --tmin -1 --tmax 14 --stage open --elevation 2100
    --forecast-elevation 1800
    """,
    arguments=(
        Argument(flag="date", name="on", what="day, like 2026-07-10", type=DAY, needed=True),
        Argument(flag="tmin", name="tmin_c", what="lowest temperature", unit="degrees Celsius"),
        Argument(flag="tmax", name="tmax_c", what="highest temperature", unit="degrees Celsius"),
        Argument(flag="rain", name="rain_mm", what="rain of the day", unit="mm"),
        Argument(flag="humidity", name="humidity_percent", what="relative humidity", unit="percent"),
        Argument(
            flag="days",
            name="days",
            what="number of days alike up to this one",
            unit="days",
            type=WHOLE,
            usual=1,
        ),
        Argument(
            flag="wet-hours",
            name="wet_hours",
            what="how long leaves were wet in a row",
            unit="hours",
            type=WHOLE,
        ),
        Argument(
            flag="wet-temp", name="wet_c", what="temperature while they were wet", unit="degrees Celsius"
        ),
        Argument(
            flag="stage",
            name="stages",
            what="what of buds, flowers and fruit stands in the plot",
            type=click.Choice([*(stage.value for stage in Stage), _NOTHING]),
            many=True,
        ),
        Argument(
            flag="hail",
            name="hail",
            what="what is said of hail",
            type=click.Choice([hail.value for hail in Hail]),
        ),
        Argument(
            flag="elevation", name="elevation_m", what="elevation of the plot", unit="metres above the sea"
        ),
        Argument(
            flag="forecast-elevation",
            name="forecast_elevation_m",
            what="elevation of the place the weather is for",
            unit="metres above the sea",
        ),
        Argument(flag="looked", name="looked", what="farmers of a village who looked for a pest", type=WHOLE),
        Argument(flag="found", name="found", what="those of them who found it", type=WHOLE),
        Argument(
            flag="looked-before", name="looked_before", what="farmers who looked two weeks before", type=WHOLE
        ),
        Argument(flag="found-before", name="found_before", what="those of them who found it", type=WHOLE),
    ),
    compute=_compute,
)
