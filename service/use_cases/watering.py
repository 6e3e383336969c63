"""How much water a plot needs today: gathered from what is known of plot, place and weather, and reckoned.

Rain that is only forecast waters nothing. What a farmer's own gauge held wins over what the district's held. Whatever
was taken in place of what nobody told is part of the answer.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Final, Protocol

from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Input
from flows.moves.water import MOST_RAIN, means_told
from flows.watering import Means, Rain, Sky, Water, WaterToday, Wet
from service.agronomy.evapotranspiration import Reference
from service.agronomy.traits import traits_of
from service.agronomy.water import Day, Need, Planting, need, rain_counted_mm
from service.agronomy.water_figures import water_figures
from service.core.errors import Refused
from service.core.model import District, Plot
from service.core.people_ports import People
from service.core.plot_ports import Plots
from service.core.water_ports import Watering
from service.core.weather_ports import DayWeather, WeatherDays
from service.use_cases.best_weather import Place, place_of, sky_over

# Common practice, no source: until a farmer tells what their own can holds.
USUAL_CAN_ML: Final = 10_000
_WEEK_AROUND: Final = timedelta(days=3)
_DAY: Final = timedelta(days=1)
_OLDEST_DAYS: Final = 3650
_MOST_RAIN_MM: Final = 1000.0


class WaterWork(Protocol):
    """A unit of work, as far as water needs it."""

    @property
    def people(self) -> People:
        """The districts."""
        ...

    @property
    def plots(self) -> Plots:
        """The plots."""
        ...

    @property
    def watering(self) -> Watering:
        """Cans and rain gauges."""
        ...

    @property
    def weather(self) -> WeatherDays:
        """The weather of districts."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Watered:
    """What a plot needs on a day, and all that it rests on.

    Attributes:
        sky: what is known of the weather.
        lowest_c: the lowest temperature it was reckoned with.
        highest_c: the highest.
        can_ml: what the farmer's can holds, or a usual one; None where water comes by drip.
        drip_ml_h: what drip gives a plant in an hour; None where nobody told, and where there is none.
        means_told: whether the farmer told one of them.
        rain_mm: the rain of today or, if only that has reached the roots, of yesterday.
    """

    need: Need
    reference: Reference
    place: Place
    sky: Sky
    lowest_c: float
    highest_c: float
    can_ml: int | None
    drip_ml_h: int | None
    means_told: bool
    wet: Wet
    rain_mm: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """What a farmer tells in the text that is being answered: means, or rain in tenths of a millimetre by day."""

    means: tuple[Means, int] | None = None
    rain: Mapping[date, int] = field(default_factory=dict)


_NOTHING: Final = Told()


def with_water(work: WaterWork, facts: Facts, said: Input) -> Facts:
    """Return the facts with what each farmer's plot needs today, where a text is about water or rain.

    Nobody else's text waits for it. Rain that is told in this very text counts already.
    """
    if not isinstance(said, Water | Rain):
        return facts
    told = _told(said, facts.on)
    districts = {one.name: one for one in work.people.districts()}

    def watered(farmer: Farmer) -> Farmer:
        if farmer.state is not FarmerState.ACTIVE:
            return farmer
        plot, district = work.plots.the(farmer.plot_id), districts[farmer.district]
        found = water_on(work, plot, district, facts.on, told=told)
        return farmer if found is None else replace(farmer, water=_as_fact(found, farmer.plants))

    return replace(facts, farmers=tuple(map(watered, facts.farmers)))


def _told(said: Water | Rain, on: date) -> Told:
    if isinstance(said, Water):
        return Told(means=means_told(said))
    clear = said.tenths is not None and said.tenths <= MOST_RAIN
    return Told(rain={said.on or on: said.tenths or 0} if clear else {})


def water_on(
    work: WaterWork, plot: Plot, district: District, on: date, *, told: Told = _NOTHING
) -> Watered | None:
    """Return what a plot needs on a day; None where no plants stand on it.

    Args:
        work: a unit of work.
        plot: the plot.
        district: where its farmer lives.
        on: the local day.
        told: what is told in this very moment, and not kept yet.
    """
    if plot.closed_on is not None or plot.planted_on > on:
        return None
    place = place_of(plot, district)
    known = work.weather.between(district.id, on - _WEEK_AROUND, on + _WEEK_AROUND)
    sky = sky_over(known, place, on)
    own = {**work.watering.rain(plot.farmer_id, on - _DAY, on), **told.rain}
    today, yesterday = (_rain_mm(own, known, day) for day in (on, on - _DAY))
    means = told.means or work.watering.means_of(plot.farmer_id)
    planting = _planting(plot, means, on)
    found = need(planting, Day(eto_mm=sky.found.eto_mm, rain_mm=today))
    return Watered(
        need=found,
        reference=sky.found,
        place=place,
        sky=sky.kind,
        lowest_c=sky.weather.tmin_c,
        highest_c=sky.weather.tmax_c,
        can_ml=_millilitres(planting.can_l),
        drip_ml_h=_millilitres(planting.drip_l_h),
        means_told=means is not None,
        wet=_wet(found, planting, today, yesterday),
        rain_mm=today if found.rain_counted_mm or today >= yesterday else yesterday,
    )


def _planting(plot: Plot, means: tuple[Means, int] | None, on: date) -> Planting:
    """Return the plot as the calculator takes it. What the farmer told of giving water holds, whatever else is kept."""
    traits = traits_of(plot.traits)
    method = means[0] if means else Means(traits.water_method or Means.CAN)
    litres = means[1] / 1000 if means else None
    by_drip = method is Means.DRIP
    told = Planting(
        age_days=min((on - plot.planted_on).days, _OLDEST_DAYS),
        mulch=traits.mulch,
        plants=plot.plants,
        can_l=None if by_drip else litres or USUAL_CAN_ML / 1000,
        drip_l_h=litres if by_drip else None,
        told_method="drip" if by_drip else None,
    )
    try:
        return replace(
            told,
            bed_m=_metres(plot.bed_width_cm),
            path_m=_metres(plot.path_width_cm),
            rows=plot.bed_rows,
            spacing_m=_metres(plot.spacing_cm),
        )
    except Refused:
        # Beds that cannot be reckoned with are a slip of whoever measured them: usual ones are taken, and said.
        return told


def _millilitres(litres: float | None) -> int | None:
    return None if litres is None else round(litres * 1000)


def _metres(centimetres: int | None) -> float | None:
    return None if centimetres is None else centimetres / 100


def _rain_mm(own: Mapping[date, int], known: Mapping[date, DayWeather], day: date) -> float:
    """Return the rain that has fallen on a day: by the farmer's own gauge, else by the district's."""
    if day in own:
        return own[day] / 10
    measured = known.get(day)
    rain_mm = measured.rain_mm if measured is not None and measured.observed else None
    return min(rain_mm or 0.0, _MOST_RAIN_MM)


def _wet(found: Need, planting: Planting, today: float, yesterday: float) -> Wet:
    figures = water_figures()
    mulch, soil = planting.mulch or figures.assumed.mulch, figures.assumed.soil
    if found.rain_counted_mm and not found.full.mm:
        return Wet.ENOUGH
    if any(rain_counted_mm(rain_mm, mulch, soil) for rain_mm in (today, yesterday)):
        return Wet.SOME
    return Wet.COVERED if max(today, yesterday) > figures.rain.least_mm else Wet.DRY


def _as_fact(found: Watered, plants: int) -> WaterToday:
    assumed = found.need.assumed
    return WaterToday(
        each_ml=found.need.full.litres_a_plant * 1000,
        plot_ml=found.need.full.litres_a_plant * plants * 1000,
        least_ml=found.need.least.litres_a_plant * plants * 1000,
        can_ml=found.can_ml,
        drip_ml_h=found.drip_ml_h,
        sky=found.sky,
        highest_c=round(found.highest_c),
        elevation_m=found.place.elevation_m,
        bare="mulch" in assumed,
        beds=any(name in assumed for name in ("bed_m", "path_m", "rows", "spacing_m")),
        wet=found.wet,
        rain_tenths=round(found.rain_mm * 10),
    )
