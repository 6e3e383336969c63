"""How much water a plot needs on one day, for the weather of that day.

The rules, with figures in data/water.toml:

1. The plants take ETo x Kc (FAO Irrigation and Drainage Paper 56, Eq. 58). Kc follows the age of the plants, and a
   mulch takes its share away.
2. Of the day's rain counts what exceeds the least that matters, as far as the cover lets it through, and at most
   what the roots can easily take from the soil: the rest runs off or drains. Rain of earlier days is not counted.
3. Litres a plant are these millimetres on the ground of one plant (1 mm is 1 litre a square metre), divided by the
   share of the water given that reaches the roots.
4. When water is short, the least that keeps plants alive is a share of rule 1, less the same rain.

Units stand in the names: mm millimetre a day, m metre, m2 square metre, l litre.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final

from service.agronomy.figures import Bounds, refuse_outside
from service.agronomy.traits import MulchKind, WaterMethod
from service.agronomy.water_figures import Soil, WaterFigures, water_figures
from service.core.errors import Refused

_BOUNDS: Final = (
    Bounds("age_days", "The age", 0, 3650, "days from planting"),
    Bounds("plants", "The number of plants", 1, 1_000_000, "plants"),
    Bounds("bed_m", "The width of a bed", 0.2, 5, "metres"),
    Bounds("path_m", "The width of a path", 0, 5, "metres"),
    Bounds("rows", "The number of rows on a bed", 1, 10, "rows"),
    Bounds("spacing_m", "The spacing of plants in a row", 0.05, 2, "metres"),
    Bounds("can_l", "What a can holds", 0.2, 1000, "litres"),
    Bounds("drip_l_h", "The drip", 0.05, 20, "litres an hour for each plant"),
)
_DAY: Final = (
    # No weather that is accepted comes to more.
    Bounds("eto_mm", "The reference evapotranspiration", 0, 100, "mm a day"),
    Bounds("rain_mm", "The rain", 0, 1000, "mm on one day"),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Planting:
    """A plot as far as it is known; what is None is assumed, and the result says so.

    Attributes:
        age_days: days from planting.
        mulch: what covers the bed.
        soil: what the bed is made of.
        bed_m: width of the bed.
        path_m: width of the path beside it.
        rows: rows on one bed.
        spacing_m: from plant to plant in a row.
        plants: how many there are; without it there are no sums for the plot.
        can_l: what the farmer's own can holds; water is given by can then.
        drip_l_h: what the drip line gives each plant in an hour; water is given by drip then.
        told_method: how water is given, where neither can nor drip line is known any nearer.

    Raises:
        Refused: a figure is impossible; the sentence says which and what is possible.
    """

    age_days: int | None = None
    mulch: MulchKind | None = None
    soil: Soil | None = None
    bed_m: float | None = None
    path_m: float | None = None
    rows: int | None = None
    spacing_m: float | None = None
    plants: int | None = None
    can_l: float | None = None
    drip_l_h: float | None = None
    told_method: WaterMethod | None = None

    def __post_init__(self) -> None:
        """Refuse what no plot can be."""
        refuse_outside(_BOUNDS, self)
        if self.can_l is not None and self.drip_l_h is not None:
            raise Refused("Water comes by can or by drip: give one of the two.")

    @property
    def water_method(self) -> WaterMethod | None:
        """How water is given, if that is known."""
        if self.can_l is not None:
            return "can"
        return self.told_method if self.drip_l_h is None else "drip"


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """What the sky takes and gives on the day.

    Attributes:
        eto_mm: reference evapotranspiration, from `service.agronomy.evapotranspiration`.
        rain_mm: what the rain gauge held.

    Raises:
        Refused: a figure is impossible.
    """

    eto_mm: float
    rain_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no day can bring."""
        refuse_outside(_DAY, self)


@dataclass(frozen=True, kw_only=True, slots=True)
class Amount:
    """One amount of water, in the measures of a farmer.

    Attributes:
        mm: on the ground, before what is lost in giving it.
        litres_a_plant: to give each plant.
        litres: to give the whole plot; None where its plants are not known.
        cans: the same in the farmer's own cans; None where these or the plants are not known.
        minutes: of drip; None where there is none.
    """

    mm: float
    litres_a_plant: float
    litres: float | None
    cans: float | None
    minutes: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Need:
    """What a plot needs on a day.

    Attributes:
        kc: the crop coefficient with the mulch's share taken away.
        etc_mm: what the plants take.
        rain_counted_mm: what of it the day's rain gives.
        ground_m2: the ground of one plant.
        full: what to give.
        least: what keeps plants alive when water is short; never more than `full`.
        assumed: what was taken for what is not known of the plot, by names with units.
    """

    kc: float
    etc_mm: float
    rain_counted_mm: float
    ground_m2: float
    full: Amount
    least: Amount
    assumed: Mapping[str, float | str]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Plot:
    """A plot of which all is known or assumed."""

    age_days: int
    mulch: MulchKind
    water_method: WaterMethod
    soil: Soil
    bed_m: float
    path_m: float
    rows: int
    spacing_m: float

    @property
    def ground_m2(self) -> float:
        """The ground of one plant: its share of bed and path."""
        return (self.bed_m + self.path_m) * self.spacing_m / self.rows


def need(planting: Planting, day: Day) -> Need:
    """Find what a plot needs on a day, and say what was assumed for it."""
    figures = water_figures()
    names = [field.name for field in fields(_Plot)]
    known = {name: value for name in names if (value := getattr(planting, name)) is not None}
    assumed = {name: getattr(figures.assumed, name) for name in names if name not in known}
    plot = _Plot(**known, **assumed)
    kc = figures.crop.coefficient(plot.age_days) * figures.mulch[plot.mulch].need
    etc_mm = day.eto_mm * kc
    rain_mm = rain_counted_mm(day.rain_mm, plot.mulch, plot.soil)

    def amount(taken_mm: float) -> Amount:
        return _amount(max(0.0, taken_mm - rain_mm), planting, plot, figures)

    return Need(
        kc=kc,
        etc_mm=etc_mm,
        rain_counted_mm=rain_mm,
        ground_m2=plot.ground_m2,
        full=amount(etc_mm),
        least=amount(etc_mm * figures.scarce.share),
        assumed=assumed,
    )


def rain_counted_mm(rain_mm: float, mulch: MulchKind, soil: Soil) -> float:
    """Return what a day's rain gives the roots: common practice, no source."""
    figures = water_figures()
    more = max(0.0, rain_mm - figures.rain.least_mm) * figures.mulch[mulch].rain
    return min(more, easily_taken_mm(soil))


def easily_taken_mm(soil: Soil) -> float:
    """Return the water of a wet soil that roots take without effort (FAO-56, Eq. 82 and 83)."""
    figures = water_figures()
    return figures.soil[soil].available_mm_m * figures.roots.depth_m * figures.roots.depletion


def _amount(mm: float, planting: Planting, plot: _Plot, figures: WaterFigures) -> Amount:
    a_plant = mm * plot.ground_m2 / figures.water_method[plot.water_method].efficiency
    litres = None if planting.plants is None else a_plant * planting.plants
    return Amount(
        mm=mm,
        litres_a_plant=a_plant,
        litres=litres,
        cans=None if litres is None or planting.can_l is None else litres / planting.can_l,
        minutes=None if planting.drip_l_h is None else a_plant / planting.drip_l_h * 60,
    )
