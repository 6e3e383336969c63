"""The water of a plot on its page: what it needs today, what that rests on, and what the farmer has told of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.watering import Means, Sky, Wet
from service.agronomy.evapotranspiration import Method
from service.core.ports import Work
from service.db.queries.console_values import FarmerFacts, PlotFacts
from service.use_cases.watering import Watered, water_on
from service.web.words import MULCHES

RAIN_SHOWN: Final = timedelta(days=13)
_SKIES: Final = {
    Sky.USUAL: "no weather is known: a usual day of this month",
    Sky.FORECAST: "by the forecast",
    Sky.MEASURED: "as measured",
}
_METHODS: Final = {
    Method.PENMAN_MONTEITH: "Penman-Monteith, FAO-56 Eq. 6",
    Method.HARGREAVES: "Hargreaves, FAO-56 Eq. 52: from temperatures alone, rough",
}
_RAIN: Final = {
    Wet.DRY: "none that reaches the roots",
    Wet.COVERED: "it fell on plastic and ran off",
    Wet.SOME: "the soil may be wet: feel it first",
    Wet.ENOUGH: "enough for today",
}
_MEANS: Final = {Means.CAN: "a can of {:g} litres", Means.DRIP: "drip, {:g} litres a plant and hour"}
_COVERS: Final = {**MULCHES, "none": "bare soil"}
_SOILS: Final = {"sandy": "sandy soil", "loam": "loam", "clay_loam": "clay loam"}


@dataclass(frozen=True, kw_only=True, slots=True)
class PlotWater:
    """What the page shows.

    Attributes:
        found: what the plot needs; None where no plants stand.
        means: what the farmer told that water is given with; empty where nobody told.
        can_l: the can that was reckoned with; None where water comes by drip.
        basis: what the figures rest on, each by its name.
        assumed: what was taken as nobody told it, in words.
        rain: what the farmer's gauge held by day, the latest first, in millimetres.
    """

    found: Watered | None
    means: str
    can_l: float | None
    basis: tuple[tuple[str, str], ...]
    assumed: tuple[str, ...]
    rain: tuple[tuple[date, float], ...]


def plot_water(work: Work, farmer: FarmerFacts, plot: PlotFacts, on: date) -> PlotWater:
    """Gather the water of a plot."""
    district = next(one for one in work.people.districts() if one.id == farmer.district_id)
    found = water_on(work, work.plots.the(plot.id), district, on)
    means = work.watering.means_of(farmer.id)
    rain = work.watering.rain(farmer.id, on - RAIN_SHOWN, on)
    return PlotWater(
        found=found,
        means=_MEANS[means[0]].format(means[1] / 1000) if means else "",
        can_l=found.can_ml / 1000 if found and found.can_ml else None,
        basis=_basis(found) if found else (),
        assumed=_assumed(found) if found else (),
        rain=tuple((day, tenths / 10) for day, tenths in sorted(rain.items(), reverse=True)),
    )


def _basis(found: Watered) -> tuple[tuple[str, str], ...]:
    need, reference = found.need, found.reference
    rain = _RAIN[found.wet] if not found.rain_mm else f"{found.rain_mm:.1f} mm fell: {_RAIN[found.wet]}"
    return (
        ("Weather", f"{found.lowest_c:.0f} to {found.highest_c:.0f} °C, {_SKIES[found.sky]}"),
        ("Grass takes", f"{reference.eto_mm:.2f} mm a day ({_METHODS[reference.method]})"),
        ("These plants take", f"{need.etc_mm:.2f} mm a day, {need.kc:.2f} of it"),
        ("Rain", rain),
        ("Ground of a plant", f"{need.ground_m2:.3f} m²"),
    )


def _assumed(found: Watered) -> tuple[str, ...]:
    """Return what was put in for plot, place and weather, in words an officer can correct."""
    place = {"latitude_deg": found.place.latitude_deg, "elevation_m": found.place.elevation_m}
    values: Mapping[str, float | str] = {
        **{name: value for name, value in place.items() if name in found.place.assumed},
        **found.reference.assumed,
        **found.need.assumed,
        **({"can_l": found.can_ml / 1000} if found.can_ml and not found.means_told else {}),
    }
    return tuple(_worded(name, value) for name, value in values.items())


_WORDS: Final[Mapping[str, str]] = {
    "latitude_deg": "latitude {:.1f}°, of the time zone's main place",
    "elevation_m": "{:,.0f} m above the sea",
    "ea_kpa": "vapour pressure {:.2f} kPa",
    "wind_m_s": "wind {:.1f} m/s",
    "wind_height_m": "wind measured at {:.0f} m",
    "radiation_mj_m2": "radiation {:.1f} MJ/m²",
    "bed_m": "beds {:.1f} m wide",
    "path_m": "paths {:.1f} m wide",
    "rows": "{} rows on a bed",
    "spacing_m": "{:.2f} m from plant to plant",
    "can_l": "cans of {:g} litres",
}


def _worded(name: str, value: float | str) -> str:
    if isinstance(value, str):
        return {**_COVERS, **_SOILS, "can": "water given by can", "drip": "water given by drip"}[value]
    return _WORDS[name].format(value)
