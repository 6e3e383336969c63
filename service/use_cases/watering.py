"""How much water a plot needs today: gathered from what is known of plot, place and weather, and reckoned.

Of the weather the best that is known is taken: a day of which more than temperatures is known by itself; else the mean
of what temperatures are known in the week around it, since the method for temperatures alone is meant for a week; else
a usual day of the month. Rain that is only forecast waters nothing. What a farmer's own gauge held wins over what the
district's held. Whatever was taken in place of what nobody told is part of the answer.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final, Protocol, get_args

from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Input
from flows.moves.water import MOST_RAIN
from flows.watering import Rain, Sky, Water, WaterToday, Wet
from service.agronomy.evapotranspiration import Reference, Weather, reference, saturation_kpa
from service.agronomy.traits import MulchKind
from service.agronomy.usual_weather import usual_weather
from service.agronomy.water import Day, Need, Planting, need, rain_counted_mm
from service.agronomy.water_figures import water_figures
from service.agronomy.zone_latitude import zone_latitude
from service.core.errors import Refused
from service.core.model import District, Plot
from service.core.people_ports import People
from service.core.plot_ports import Plots
from service.core.water_ports import Watering
from service.core.weather_ports import DayWeather, WeatherDays

# Common practice, no source: until a farmer tells what their own can holds.
USUAL_CAN_ML: Final = 10_000
# Where nobody told how high a place lies: the middle of the highlands the calendar is written for.
_ELEVATION_M: Final = 1500
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
class Place:
    """Where a plot lies, as far as water depends on it.

    Attributes:
        assumed: names of what nobody told: latitude_deg, elevation_m.
    """

    latitude_deg: float
    elevation_m: int
    assumed: frozenset[str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Watered:
    """What a plot needs on a day, and all that it rests on.

    Attributes:
        sky: what is known of the weather.
        lowest_c: the lowest temperature it was reckoned with.
        highest_c: the highest.
        can_ml: what the farmer's can holds, or a usual one.
        can_told: whether the farmer told it.
        rain_mm: the rain of today or, if only that has reached the roots, of yesterday.
    """

    need: Need
    reference: Reference
    place: Place
    sky: Sky
    lowest_c: float
    highest_c: float
    can_ml: int
    can_told: bool
    wet: Wet
    rain_mm: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Sky:
    """The weather that an answer is reckoned with."""

    kind: Sky
    weather: Weather
    found: Reference


def with_water(work: WaterWork, facts: Facts, said: Input) -> Facts:
    """Return the facts with what each farmer's plot needs today, where a text is about water or rain.

    Nobody else's text waits for it. Rain that is told in this very text counts already.
    """
    if not isinstance(said, Water | Rain):
        return facts
    told: dict[date, int] = {}
    if isinstance(said, Rain) and said.tenths is not None and said.tenths <= MOST_RAIN:
        told = {said.on or facts.on: said.tenths}
    districts = {one.name: one for one in work.people.districts()}

    def watered(farmer: Farmer) -> Farmer:
        if farmer.state is not FarmerState.ACTIVE:
            return farmer
        found = water_on(
            work, work.plots.the(farmer.plot_id), districts[farmer.district], facts.on, told=told
        )
        return farmer if found is None else replace(farmer, water=_as_fact(found, farmer.plants))

    return replace(facts, farmers=tuple(map(watered, facts.farmers)))


def water_on(
    work: WaterWork, plot: Plot, district: District, on: date, *, told: Mapping[date, int] | None = None
) -> Watered | None:
    """Return what a plot needs on a day; None where no plants stand on it.

    Args:
        work: a unit of work.
        plot: the plot.
        district: where its farmer lives.
        on: the local day.
        told: rain in tenths of a millimetre by day that is not kept yet.
    """
    if plot.closed_on is not None or plot.planted_on > on:
        return None
    place = _place(plot, district)
    known = work.weather.between(district.id, on - _WEEK_AROUND, on + _WEEK_AROUND)
    sky = _sky(known, place, on)
    own = {**work.watering.rain(plot.farmer_id, on - _DAY, on), **(told or {})}
    today, yesterday = (_rain_mm(own, known, day) for day in (on, on - _DAY))
    can_ml = work.watering.can_of(plot.farmer_id)
    planting = Planting(
        age_days=min((on - plot.planted_on).days, _OLDEST_DAYS),
        mulch=_mulch(plot),
        plants=plot.plants,
        can_l=(can_ml or USUAL_CAN_ML) / 1000,
    )
    found = need(planting, Day(eto_mm=sky.found.eto_mm, rain_mm=today))
    return Watered(
        need=found,
        reference=sky.found,
        place=place,
        sky=sky.kind,
        lowest_c=sky.weather.tmin_c,
        highest_c=sky.weather.tmax_c,
        can_ml=can_ml or USUAL_CAN_ML,
        can_told=can_ml is not None,
        wet=_wet(found, planting, today, yesterday),
        rain_mm=today if found.rain_counted_mm or today >= yesterday else yesterday,
    )


def _place(plot: Plot, district: District) -> Place:
    elevation_m = district.elevation_m if plot.elevation_m is None else plot.elevation_m
    taken = {"latitude_deg": district.latitude is None, "elevation_m": elevation_m is None}
    return Place(
        latitude_deg=zone_latitude(district.zone) if district.latitude is None else district.latitude / 10,
        elevation_m=_ELEVATION_M if elevation_m is None else elevation_m,
        assumed=frozenset(name for name, holds in taken.items() if holds),
    )


def _mulch(plot: Plot) -> MulchKind | None:
    return next((kind for kind in get_args(MulchKind) if kind == plot.mulch_kind), None)


def _sky(known: Mapping[date, DayWeather], place: Place, on: date) -> _Sky:
    """Return the best weather that is known and makes sense."""
    ways: tuple[Callable[[Mapping[date, DayWeather], Place, date], tuple[Sky, Weather] | None], ...] = (
        _the_day,
        _the_week,
    )
    for way in ways:
        # Figures of two sources may not fit each other: then fewer of them are taken.
        try:
            found = way(known, place, on)
            if found is not None:
                return _Sky(kind=found[0], weather=found[1], found=reference(found[1]))
        except Refused:
            continue
    weather = usual_weather(latitude_deg=place.latitude_deg, elevation_m=place.elevation_m, on=on)
    return _Sky(kind=Sky.USUAL, weather=weather, found=reference(weather))


def _the_day(known: Mapping[date, DayWeather], place: Place, on: date) -> tuple[Sky, Weather] | None:
    """Return the weather of the day itself, where more than its temperatures is known."""
    day = known.get(on)
    if day is None or day.tmin_c is None or day.tmax_c is None:
        return None
    more = {"ea_kpa": _vapour_kpa(day), "wind_m_s": day.wind_m_s, "radiation_mj_m2": day.radiation_mj_m2}
    given = {name: value for name, value in more.items() if value is not None}
    if not given:
        return None
    height = {} if day.wind_m_s is None else {"wind_height_m": 2.0}
    weather = Weather(
        latitude_deg=place.latitude_deg,
        elevation_m=place.elevation_m,
        on=on,
        tmin_c=day.tmin_c,
        tmax_c=day.tmax_c,
        **given,
        **height,
    )
    return (Sky.MEASURED if day.observed else Sky.FORECAST), weather


def _vapour_kpa(day: DayWeather) -> float | None:
    """Return the vapour pressure, where need be by the mean humidity (FAO-56 Eq. 19)."""
    if day.ea_kpa is not None or day.humidity_percent is None or day.tmin_c is None or day.tmax_c is None:
        return day.ea_kpa
    return day.humidity_percent / 100 * (saturation_kpa(day.tmax_c) + saturation_kpa(day.tmin_c)) / 2


def _the_week(known: Mapping[date, DayWeather], place: Place, on: date) -> tuple[Sky, Weather] | None:
    """Return the mean of the temperatures of the week around the day, of which some days may be missing."""
    days = [
        (day.tmin_c, day.tmax_c)
        for day in known.values()
        if day.tmin_c is not None and day.tmax_c is not None
    ]
    if not days:
        return None
    weather = Weather(
        latitude_deg=place.latitude_deg,
        elevation_m=place.elevation_m,
        on=on,
        tmin_c=sum(low for low, _ in days) / len(days),
        tmax_c=sum(high for _, high in days) / len(days),
    )
    measured = all(day.observed for day in known.values() if day.tmax_c is not None)
    return (Sky.MEASURED if measured else Sky.FORECAST), weather


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
    latitude = round(found.place.latitude_deg) if "latitude_deg" in found.place.assumed else None
    return WaterToday(
        each_ml=found.need.full.litres_a_plant * 1000,
        plot_ml=found.need.full.litres_a_plant * plants * 1000,
        least_ml=found.need.least.litres_a_plant * plants * 1000,
        can_ml=found.can_ml,
        sky=found.sky,
        highest_c=round(found.highest_c),
        elevation_m=found.place.elevation_m,
        latitude=latitude,
        bare="mulch" in assumed,
        beds="spacing_m" in assumed,
        wet=found.wet,
        rain_tenths=round(found.rain_mm * 10),
    )
