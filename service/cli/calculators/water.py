"""What plants need in water on a day, from the weather to litres a plant."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, fields
from datetime import date
from typing import Any, Final, get_args

import click

from service.agronomy.evapotranspiration import Method, Reference, Weather, reference
from service.agronomy.salinity import Salt, SaltLoss, salt_loss
from service.agronomy.traits import MulchKind
from service.agronomy.water import Amount, Day, Need, Planting, need
from service.agronomy.water_figures import Soil
from service.cli.arguments import DAY
from service.cli.calculators.shape import WHOLE, Answer, Argument, Calculator
from service.core.errors import Refused

_SUMS: Final = (("litres", "litres for the plot"), ("cans", "cans"), ("minutes", "minutes of drip"))


def _compute(*, on: date, planted_on: date | None, rain_mm: float, **given: object) -> Answer:
    """Compute from what was given: what is not named here goes to the weather, the plot or the salt."""
    found = reference(Weather(on=on, **_of(Weather, given)))
    plot = Planting(age_days=_age(planted_on, on), **_of(Planting, given))
    wanted = need(plot, Day(eto_mm=found.eto_mm, rain_mm=rain_mm))
    measured = _of(Salt, given)
    salt = salt_loss(Salt(**measured)) if any(value is not None for value in measured.values()) else None
    return Answer(
        values={
            "eto": found.eto_mm,
            "method": found.method,
            "kc": wanted.kc,
            "etc_mm": wanted.etc_mm,
            "rain_counted_mm": wanted.rain_counted_mm,
            "ground_m2_a_plant": wanted.ground_m2,
            "full": asdict(wanted.full),
            "least": asdict(wanted.least),
            "salt": None if salt is None else asdict(salt) | {"warn": salt.warn},
        },
        lines=_lines(found, wanted, salt),
        assumed={**found.assumed, **wanted.assumed},
    )


def _of(kind: type[Any], given: Mapping[str, object]) -> dict[str, Any]:
    """Return what of the figures given a value is built from."""
    names = {field.name for field in fields(kind)}
    return {name: value for name, value in given.items() if name in names}


def _age(planted_on: date | None, on: date) -> int | None:
    if planted_on is None:
        return None
    if planted_on > on:
        raise Refused(
            f"Nothing is planted on {on} that is planted on {planted_on}: correct one of the dates."
        )
    return (on - planted_on).days


def _lines(found: Reference, wanted: Need, salt: SaltLoss | None) -> Iterator[str]:
    yield f"Reference evapotranspiration, {found.method}: {found.eto_mm:.2f} mm a day."
    if found.method is Method.HARGREAVES:
        yield "From temperatures alone: meant for the mean of a week, rough for one day."
    yield (
        f"The plants take {wanted.etc_mm:.2f} mm (crop coefficient {wanted.kc:.2f}); "
        f"of the rain {wanted.rain_counted_mm:.2f} mm count."
    )
    yield f"Give {_said(wanted.full)}."
    yield f"When water is short, plants live on {_said(wanted.least)}."
    if salt is not None:
        yield (
            f"Salt costs {'yield' if salt.warn else 'no yield'}: {salt.yield_percent:.0f} % of a full one are left "
            f"at {salt.soil_ds_m:.2f} dS/m in the soil{', as such water makes it' if salt.from_water else ''}."
        )


def _said(amount: Amount) -> str:
    sums = ((getattr(amount, name), unit) for name, unit in _SUMS)
    told = (f"{value:.1f} {unit}" for value, unit in sums if value is not None)
    return ", ".join([f"{amount.litres_a_plant:.2f} litres a plant", *told])


WATER: Final = Calculator(
    name="water",
    about="""Compute what plants need in water.

    For one day, from the reference evapotranspiration behind it. By Penman-Monteith (FAO-56) when any of --ea, --wind,
    --radiation or --sunshine is given, else by Hargreaves from the temperatures alone; `eto` is in mm a day, `method`
    says which it was.

    Example: trussline calc water --lat -3.4 --elevation 1650 --date 2026-11-25 --tmin 12 --tmax 24 --plants 250
    --spacing 0.3 --can 10
    """,
    arguments=(
        Argument(
            flag="lat", name="latitude_deg", what="latitude", unit="degrees, south negative", needed=True
        ),
        Argument(
            flag="elevation", name="elevation_m", what="elevation", unit="metres above the sea", needed=True
        ),
        Argument(flag="date", name="on", what="day, like 2026-03-25", type=DAY, needed=True),
        Argument(flag="tmin", name="tmin_c", what="lowest temperature", unit="degrees Celsius", needed=True),
        Argument(flag="tmax", name="tmax_c", what="highest temperature", unit="degrees Celsius", needed=True),
        Argument(flag="ea", name="ea_kpa", what="actual vapour pressure", unit="kPa"),
        Argument(flag="wind", name="wind_m_s", what="mean wind", unit="metres a second"),
        Argument(
            flag="wind-height",
            name="wind_height_m",
            what="height of the wind gauge",
            unit="metres above the ground",
        ),
        Argument(
            flag="radiation",
            name="radiation_mj_m2",
            what="solar radiation",
            unit="MJ per square metre and day",
        ),
        Argument(
            flag="sunshine", name="sunshine_h", what="bright sunshine in place of radiation", unit="hours"
        ),
        Argument(
            flag="soil-heat",
            name="soil_heat_mj_m2",
            what="heat into the soil, for the mean of a month",
            unit="MJ per square metre and day",
        ),
        Argument(flag="rain", name="rain_mm", what="rain of the day", unit="mm", usual=0.0),
        Argument(flag="planted", name="planted_on", what="planting date, like 2026-03-25", type=DAY),
        Argument(flag="plants", name="plants", what="number of plants, for sums of the plot", type=WHOLE),
        Argument(flag="spacing", name="spacing_m", what="spacing of plants in a row", unit="metres"),
        Argument(flag="bed", name="bed_m", what="width of a bed", unit="metres"),
        Argument(flag="path", name="path_m", what="width of the path beside it", unit="metres"),
        Argument(flag="rows", name="rows", what="number of rows on a bed", type=WHOLE),
        Argument(
            flag="mulch",
            name="mulch",
            what="what covers the beds",
            type=click.Choice(get_args(MulchKind)),
        ),
        Argument(
            flag="soil", name="soil", what="what the beds are made of", type=click.Choice(get_args(Soil))
        ),
        Argument(flag="can", name="can_l", what="what the can holds that water is carried in", unit="litres"),
        Argument(
            flag="drip",
            name="drip_l_h",
            what="what the drip gives each plant",
            unit="litres an hour",
        ),
        Argument(flag="ec-water", name="water_ds_m", what="conductivity of the water", unit="dS/m"),
        Argument(flag="ec-soil", name="soil_ds_m", what="conductivity of the soil's extract", unit="dS/m"),
    ),
    compute=_compute,
)
