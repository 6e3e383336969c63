"""`trussline calc water`: from a day's weather to litres a plant."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from datetime import date
from typing import Final, get_args

import click

from service.agronomy.evapotranspiration import Method, Reference, Weather, reference
from service.agronomy.salinity import Salt, SaltLoss, salt_loss
from service.agronomy.water import Amount, Day, Need, Planting, need
from service.agronomy.water_figures import MulchKind, Soil
from service.cli.arguments import DAY
from service.core.errors import Refused

# More figures than these are noise: the weather is not known better.
_DECIMALS: Final = 4
_SUMS: Final = (("litres", "litres for the plot"), ("cans", "cans"), ("minutes", "minutes of drip"))


@click.command()
@click.option("--lat", "latitude_deg", type=float, required=True, help="Latitude in degrees, south negative.")
@click.option("--elevation", "elevation_m", type=float, required=True, help="Metres above the sea.")
@click.option("--date", "on", type=DAY, required=True, metavar="DATE", help="The day, like 2026-03-25.")
@click.option("--tmin", "tmin_c", type=float, required=True, help="Lowest temperature in degrees Celsius.")
@click.option("--tmax", "tmax_c", type=float, required=True, help="Highest temperature in degrees Celsius.")
@click.option("--ea", "ea_kpa", type=float, help="Actual vapour pressure in kPa.")
@click.option("--wind", "wind_m_s", type=float, help="Mean wind in metres a second.")
@click.option(
    "--wind-height",
    "wind_height_m",
    type=float,
    default=2.0,
    show_default=True,
    help="Metres above the ground at which the wind was measured.",
)
@click.option("--radiation", "radiation_mj_m2", type=float, help="Solar radiation in MJ per square metre.")
@click.option("--sunshine", "sunshine_h", type=float, help="Hours of sunshine, in place of --radiation.")
@click.option("--rain", "rain_mm", type=float, default=0.0, show_default=True, help="Rain of the day in mm.")
@click.option("--planted", "planted_on", type=DAY, metavar="DATE", help="Planting date, like 2026-03-25.")
@click.option("--plants", "plants", type=int, help="How many plants there are, for litres in all.")
@click.option("--spacing", "spacing_m", type=float, help="Metres from plant to plant in a row.")
@click.option("--bed", "bed_m", type=float, help="Width of a bed in metres.")
@click.option("--path", "path_m", type=float, help="Width of the path beside it in metres.")
@click.option("--rows", "rows", type=int, help="Rows on a bed.")
@click.option("--mulch", type=click.Choice(get_args(MulchKind)), help="What covers the beds.")
@click.option("--soil", type=click.Choice(get_args(Soil)), help="What the beds are made of.")
@click.option("--can", "can_l", type=float, help="Litres in the can that water is carried in.")
@click.option("--drip", "drip_l_h", type=float, help="Litres an hour that the drip gives each plant.")
@click.option("--ec-water", "water_ds_m", type=float, help="Conductivity of the water in dS/m.")
@click.option("--ec-soil", "soil_ds_m", type=float, help="Conductivity of the soil's extract in dS/m.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object; `eto` is in mm a day.")
def water(
    *,
    latitude_deg: float,
    elevation_m: float,
    on: date,
    tmin_c: float,
    tmax_c: float,
    ea_kpa: float | None,
    wind_m_s: float | None,
    wind_height_m: float,
    radiation_mj_m2: float | None,
    sunshine_h: float | None,
    rain_mm: float,
    planted_on: date | None,
    plants: int | None,
    spacing_m: float | None,
    bed_m: float | None,
    path_m: float | None,
    rows: int | None,
    mulch: MulchKind | None,
    soil: Soil | None,
    can_l: float | None,
    drip_l_h: float | None,
    water_ds_m: float | None,
    soil_ds_m: float | None,
    as_json: bool,
) -> None:
    """Compute what plants need in water on one day, and the reference evapotranspiration behind it.

    By Penman-Monteith (FAO-56) when any of --ea, --wind, --radiation or --sunshine is given, else by Hargreaves from
    the temperatures alone. What is not given and needed is assumed, and told.

    Example: trussline calc water --lat -3.4 --elevation 1650 --date 2026-11-25 --tmin 12 --tmax 24 --plants 250
    --spacing 0.3 --can 10
    """
    weather = Weather(
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
        on=on,
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        ea_kpa=ea_kpa,
        wind_m_s=wind_m_s,
        wind_height_m=wind_height_m,
        radiation_mj_m2=radiation_mj_m2,
        sunshine_h=sunshine_h,
    )
    planting = Planting(
        age_days=_age(planted_on, on),
        mulch=mulch,
        soil=soil,
        bed_m=bed_m,
        path_m=path_m,
        rows=rows,
        spacing_m=spacing_m,
        plants=plants,
        can_l=can_l,
        drip_l_h=drip_l_h,
    )
    found = reference(weather)
    wanted = need(planting, Day(eto_mm=found.eto_mm, rain_mm=rain_mm))
    measured = soil_ds_m is not None or water_ds_m is not None
    salt = salt_loss(Salt(soil_ds_m=soil_ds_m, water_ds_m=water_ds_m)) if measured else None
    click.echo(_json(found, wanted, salt) if as_json else "\n".join(_lines(found, wanted, salt)))


def _age(planted_on: date | None, on: date) -> int | None:
    if planted_on is None:
        return None
    if planted_on > on:
        raise Refused(
            f"Nothing is planted on {on} that is planted on {planted_on}: correct one of the dates."
        )
    return (on - planted_on).days


def _json(found: Reference, wanted: Need, salt: SaltLoss | None) -> str:
    """Return all figures as one object; but for `eto`, in mm a day, units stand in the names."""
    values = {
        "eto": found.eto_mm,
        "method": found.method,
        "kc": wanted.kc,
        "etc_mm": wanted.etc_mm,
        "rain_counted_mm": wanted.rain_counted_mm,
        "ground_m2_a_plant": wanted.ground_m2,
        "full": asdict(wanted.full),
        "least": asdict(wanted.least),
        "salt": None if salt is None else asdict(salt) | {"warn": salt.warn},
        "assumed": {**found.assumed, **wanted.assumed},
    }
    return json.dumps(_rounded(values))


def _rounded(value: object) -> object:
    if isinstance(value, dict):
        return {name: _rounded(part) for name, part in value.items()}
    return round(value, _DECIMALS) if isinstance(value, float) else value


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
    yield f"Assumed: {_told({**found.assumed, **wanted.assumed})}."


def _said(amount: Amount) -> str:
    sums = ((getattr(amount, name), unit) for name, unit in _SUMS)
    return ", ".join(
        [
            f"{amount.litres_a_plant:.2f} litres a plant",
            *(f"{value:.1f} {unit}" for value, unit in sums if value is not None),
        ]
    )


def _told(assumed: Mapping[str, float | str]) -> str:
    told = (f"{value:.3g}" if isinstance(value, float) else str(value) for value in assumed.values())
    return ", ".join(f"{name} {value}" for name, value in zip(assumed, told, strict=True)) or "nothing"
