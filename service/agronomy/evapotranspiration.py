"""Reference evapotranspiration: the millimetres of water that a day's weather takes from short, well watered grass.

Two methods, both of FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), by its equation numbers:

- Penman-Monteith (Eq. 6) as soon as vapour pressure, wind, radiation or sunshine is known. What of these is
  missing is put in as chapter 3 of the paper does, and the result names it as assumed.
- Hargreaves (Eq. 52) when only temperatures are known. It is meant for the mean of a week; for a single day it is
  rough.

Everything is a plain float in the unit its name ends with: c degrees Celsius, kpa kilopascal, mj_m2 megajoule per
square metre and day, mm millimetre a day, m_s metre a second, h hour.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property
from typing import Final

from service.agronomy.figures import Bounds, refuse_outside
from service.core.errors import Refused

# What the paper gives for places without measurements of their own.
_GAUGE_M: Final = 2.0  # Eq. 6 and 47: the height that wind is wanted for
_WIND_M_S: Final = 2.0  # chapter 3, "missing wind speed data": the mean of over 2000 stations
_RADIATION_COEFFICIENT: Final = 0.16  # Eq. 50, places inland
_ALBEDO: Final = 0.23  # Eq. 38, grass
_SOLAR_CONSTANT: Final = 0.0820  # Eq. 21, MJ a square metre and minute
_STEFAN_BOLTZMANN: Final = 4.903e-9  # Eq. 39, MJ a square metre, day and K^4
_MM_A_MJ: Final = 0.408  # Eq. 20, the inverse of the latent heat of vaporisation
# The standardised equation of ASCE-EWRI (2005) keeps the cloudiness of Eq. 39 between these; from memory.
_CLOUDINESS: Final = (0.3, 1.0)

_BOUNDS: Final = (
    # Nearer to the poles there are days without sunrise or sunset, for which Eq. 25 has no answer.
    Bounds("latitude_deg", "The latitude", -66, 66, "degrees, south negative"),
    Bounds("elevation_m", "The elevation", -450, 6000, "metres above the sea"),
    Bounds("tmin_c", "The lowest temperature", -50, 60, "degrees Celsius"),
    Bounds("tmax_c", "The highest temperature", -50, 60, "degrees Celsius"),
    Bounds("ea_kpa", "The vapour pressure", 0, 10, "kPa"),
    Bounds("wind_m_s", "The wind", 0, 50, "metres a second"),
    # Eq. 47 has no meaning close to the ground.
    Bounds("wind_height_m", "The height of the wind gauge", 0.5, 100, "metres above the ground"),
    Bounds("radiation_mj_m2", "The radiation", 0, 50, "MJ per square metre and day"),
    Bounds("sunshine_h", "The sunshine", 0, 24, "hours"),
    # Eq. 43 for months twenty degrees apart is not a tenth of what reaches the ground.
    Bounds("soil_heat_mj_m2", "The heat into the soil", -5, 5, "MJ per square metre and day"),
)


class Method(StrEnum):
    """How the reference evapotranspiration was found."""

    PENMAN_MONTEITH = "penman-monteith"
    HARGREAVES = "hargreaves"


@dataclass(frozen=True, kw_only=True)
class Weather:
    """The weather of one day in one place, or the mean of some days around it.

    Attributes:
        latitude_deg: degrees, south negative.
        elevation_m: metres above the sea.
        on: the day, which gives the path of the sun.
        tmin_c: lowest temperature of the air.
        tmax_c: highest temperature of the air.
        ea_kpa: actual vapour pressure.
        wind_m_s: mean wind.
        wind_height_m: height above the ground at which the wind was measured; 2 m where nobody told.
        radiation_mj_m2: solar radiation that reached the ground.
        sunshine_h: hours of bright sunshine, from which radiation follows where it was not measured.
        soil_heat_mj_m2: heat that goes into the soil in the mean of a month; over a single day none does (Eq. 42).

    Raises:
        Refused: a figure is impossible; the sentence says which and what is possible.
    """

    latitude_deg: float
    elevation_m: float
    on: date
    tmin_c: float
    tmax_c: float
    ea_kpa: float | None = None
    wind_m_s: float | None = None
    wind_height_m: float | None = None
    radiation_mj_m2: float | None = None
    sunshine_h: float | None = None
    soil_heat_mj_m2: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no weather can be; most often a slip in a unit."""
        refuse_outside(_BOUNDS, self)
        if self.tmax_c < self.tmin_c:
            raise Refused(
                f"The highest temperature, {self.tmax_c:g}, lies below the lowest, {self.tmin_c:g}: "
                "exchange or correct them."
            )
        if self.ea_kpa is not None and self.ea_kpa > self.es_kpa:
            raise Refused(
                f"Air of these temperatures holds at most {self.es_kpa:.2f} kPa of vapour: "
                f"{self.ea_kpa:g} cannot be, give kPa (1 kPa is 10 hPa)."
            )
        if self.radiation_mj_m2 is not None and self.radiation_mj_m2 > self.ra_mj_m2:
            raise Refused(
                f"On that day {self.ra_mj_m2:.1f} MJ per square metre reach the top of the air there: "
                f"{self.radiation_mj_m2:g} cannot reach the ground, give MJ per square metre and day."
            )
        if self.sunshine_h is not None and self.sunshine_h > self.daylight_h:
            raise Refused(
                f"That day is {self.daylight_h:.1f} hours long there: "
                f"{self.sunshine_h:g} hours of sunshine cannot be, correct them."
            )

    @property
    def tmean_c(self) -> float:
        """Mean temperature, Eq. 9."""
        return (self.tmin_c + self.tmax_c) / 2

    @property
    def es_kpa(self) -> float:
        """Mean saturation vapour pressure, Eq. 12."""
        return (saturation_kpa(self.tmax_c) + saturation_kpa(self.tmin_c)) / 2

    @property
    def wind_2m_m_s(self) -> float | None:
        """Wind at 2 m above the ground, Eq. 47; at 2 m exactly what was measured."""
        if self.wind_m_s is None or self.wind_height_m in {None, _GAUGE_M}:
            return self.wind_m_s
        return self.wind_m_s * 4.87 / math.log(67.8 * self.wind_height_m - 5.42)

    @cached_property
    def ra_mj_m2(self) -> float:
        """Radiation at the top of the air, Eq. 21."""
        angle, latitude, declination = self._sunset_angle, math.radians(self.latitude_deg), self._declination
        year = 2 * math.pi * self._day_of_year / 365
        nearness = 1 + 0.033 * math.cos(year)  # Eq. 23
        return (24 * 60 / math.pi * _SOLAR_CONSTANT * nearness) * (
            angle * math.sin(latitude) * math.sin(declination)
            + math.cos(latitude) * math.cos(declination) * math.sin(angle)
        )

    @property
    def daylight_h(self) -> float:
        """Hours from sunrise to sunset, Eq. 34."""
        return 24 / math.pi * self._sunset_angle

    @property
    def clear_sky_mj_m2(self) -> float:
        """Radiation that reaches the ground without clouds, Eq. 37."""
        return (0.75 + 2e-5 * self.elevation_m) * self.ra_mj_m2

    @property
    def radiation_from_sunshine_mj_m2(self) -> float | None:
        """Radiation by the hours of sunshine, Eq. 35 with the paper's own coefficients."""
        if self.sunshine_h is None:
            return None
        return (0.25 + 0.50 * self.sunshine_h / self.daylight_h) * self.ra_mj_m2

    @property
    def radiation_from_temperatures_mj_m2(self) -> float:
        """Radiation by the span of temperatures, Eq. 50 for places inland; never above that of a clear sky."""
        by_span = _RADIATION_COEFFICIENT * math.sqrt(self.tmax_c - self.tmin_c) * self.ra_mj_m2
        return min(by_span, self.clear_sky_mj_m2)

    @property
    def _day_of_year(self) -> int:
        return self.on.timetuple().tm_yday

    @property
    def _declination(self) -> float:
        """Declination of the sun in radians, Eq. 24."""
        return 0.409 * math.sin(2 * math.pi * self._day_of_year / 365 - 1.39)

    @property
    def _sunset_angle(self) -> float:
        """Hour angle of sunset in radians, Eq. 25."""
        return math.acos(-math.tan(math.radians(self.latitude_deg)) * math.tan(self._declination))


@dataclass(frozen=True, kw_only=True, slots=True)
class Reference:
    """The reference evapotranspiration of a day.

    Attributes:
        eto_mm: millimetres a day, which are litres per square metre and day.
        method: how it was found.
        assumed: what was put in for figures nobody gave, by their names with units.
    """

    eto_mm: float
    method: Method
    assumed: Mapping[str, float]


def reference(weather: Weather) -> Reference:
    """Find the reference evapotranspiration by the best method that what is known allows.

    Raises:
        Refused: heat into the soil is told, and nothing beside it that a method needs which heeds it.
    """
    measured = {
        "ea_kpa": weather.ea_kpa,
        "wind_m_s": weather.wind_2m_m_s,
        "radiation_mj_m2": _first(weather.radiation_mj_m2, weather.radiation_from_sunshine_mj_m2),
    }
    if all(value is None for value in measured.values()):
        if weather.soil_heat_mj_m2 is not None:
            raise Refused(
                "Heat into the soil counts only by Penman-Monteith: give vapour pressure, wind, radiation or sunshine "
                "too, or leave it out."
            )
        return Reference(eto_mm=hargreaves_mm(weather), method=Method.HARGREAVES, assumed={})
    instead = {
        # Eq. 48: the dew point taken for the lowest temperature. Exact for humid nights, too much where it is dry.
        "ea_kpa": saturation_kpa(weather.tmin_c),
        "wind_m_s": _WIND_M_S,
        "radiation_mj_m2": weather.radiation_from_temperatures_mj_m2,
    }
    known = {name: value for name, value in measured.items() if value is not None}
    gauge = weather.wind_m_s is not None and weather.wind_height_m is None
    return Reference(
        eto_mm=penman_monteith_mm(weather, **(instead | known)),
        method=Method.PENMAN_MONTEITH,
        assumed={name: value for name, value in instead.items() if name not in known}
        | ({"wind_height_m": _GAUGE_M} if gauge else {}),
    )


def penman_monteith_mm(weather: Weather, *, ea_kpa: float, wind_m_s: float, radiation_mj_m2: float) -> float:
    """Return the reference evapotranspiration by Eq. 6, in mm a day; dew is not counted, so never below 0.

    Args:
        weather: gives the temperatures, the place and the heat that goes into the soil.
        ea_kpa: actual vapour pressure.
        wind_m_s: wind at 2 m above the ground.
        radiation_mj_m2: solar radiation that reached the ground.
    """
    slope = slope_kpa_c(weather.tmean_c)
    gamma = 0.665e-3 * pressure_kpa(weather.elevation_m)  # Eq. 8
    net = (1 - _ALBEDO) * radiation_mj_m2 - net_longwave_mj_m2(weather, ea_kpa, radiation_mj_m2)  # Eq. 38, 40
    from_radiation = _MM_A_MJ * slope * (net - (weather.soil_heat_mj_m2 or 0.0))
    from_air = gamma * 900 / (weather.tmean_c + 273) * wind_m_s * (weather.es_kpa - ea_kpa)
    return max(0.0, (from_radiation + from_air) / (slope + gamma * (1 + 0.34 * wind_m_s)))


def hargreaves_mm(weather: Weather) -> float:
    """Return the reference evapotranspiration by Eq. 52, in mm a day; never below 0."""
    span = math.sqrt(weather.tmax_c - weather.tmin_c)
    return max(0.0, 0.0023 * (weather.tmean_c + 17.8) * span * _MM_A_MJ * weather.ra_mj_m2)


def net_longwave_mj_m2(weather: Weather, ea_kpa: float, radiation_mj_m2: float) -> float:
    """Return what the ground radiates away over a day, Eq. 39."""
    fourth = sum((celsius + 273.16) ** 4 for celsius in (weather.tmin_c, weather.tmax_c)) / 2
    lowest, highest = _CLOUDINESS
    cloudiness = min(max(radiation_mj_m2 / weather.clear_sky_mj_m2, lowest), highest)
    return _STEFAN_BOLTZMANN * fourth * (0.34 - 0.14 * math.sqrt(ea_kpa)) * (1.35 * cloudiness - 0.35)


def saturation_kpa(celsius: float) -> float:
    """Return the vapour pressure of saturated air, Eq. 11."""
    return 0.6108 * math.exp(17.27 * celsius / (celsius + 237.3))


def slope_kpa_c(celsius: float) -> float:
    """Return by how many kPa that pressure rises with a degree, Eq. 13."""
    return 4098 * saturation_kpa(celsius) / (celsius + 237.3) ** 2


def pressure_kpa(elevation_m: float) -> float:
    """Return the pressure of the air at an elevation, Eq. 7."""
    return 101.3 * math.pow((293 - 0.0065 * elevation_m) / 293, 5.26)


def _first(*values: float | None) -> float | None:
    return next((value for value in values if value is not None), None)
