"""Water: what a farmer asks and measures, what is kept of it, and what an answer rests on."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


@dataclass(frozen=True, kw_only=True)
class Water:
    """The farmer asks how much water the plants need today.

    Attributes:
        can_ml: what the farmer's own can holds in millilitres, None where it was not said.
        drip_ml_h: what the farmer's drip gives a plant in an hour, None where it was not said.
    """

    can_ml: int | None = None
    drip_ml_h: int | None = None


@dataclass(frozen=True, kw_only=True)
class Rain:
    """The farmer has looked into a rain gauge.

    Attributes:
        tenths: what it held in tenths of a millimetre, or None where no clear figure was said.
        on: the local day it fell, None where none was said.
        vague: True when a time was said that is no single day.
    """

    tenths: int | None = None
    on: date | None = None
    vague: bool = False


class Means(StrEnum):
    """What water is given with."""

    CAN = "can"
    DRIP = "drip"


@dataclass(frozen=True, kw_only=True, slots=True)
class SetMeans:
    """Keep what water is given with: millilitres that a can holds, or that drip gives a plant in an hour."""

    farmer_id: int
    means: Means
    millilitres: int


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveRain:
    """Keep what the farmer's gauge held, in tenths of a millimetre; the last report of a day holds."""

    id: int
    farmer_id: int
    on: date
    tenths: int


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidRain:
    """What a gauge held is taken back; an earlier report of that day holds again."""

    id: int
    farmer_id: int


Kept = SetMeans | SaveRain | VoidRain


class Sky(StrEnum):
    """What is known of the day's weather."""

    USUAL = "usual"
    FORECAST = "forecast"
    MEASURED = "measured"


class Wet(StrEnum):
    """What the rain of today and yesterday means for watering."""

    DRY = "dry"
    """Too little fell to reach the roots, or none."""

    COVERED = "covered"
    """It fell on plastic and runs off."""

    SOME = "some"
    """It has reached the roots: first feel, then water."""

    ENOUGH = "enough"
    """What fell today is all that the plants take."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WaterToday:
    """What one plot needs today, and what that rests on.

    Attributes:
        each_ml: to give each plant, in millilitres.
        plot_ml: to give the whole plot.
        least_ml: what keeps the plot alive when water is short.
        can_ml: what the farmer's own can holds, or a usual one; None where water comes by drip.
        drip_ml_h: what drip gives a plant in an hour; None where nobody told, and where there is none.
        sky: what is known of the weather.
        highest_c: the highest temperature, rounded; of the usual day where no weather is known.
        elevation_m: metres above the sea, as known or taken.
        bare: whether bare soil was taken, as nobody told what covers it.
        beds: whether usual beds were taken, in all or in part, as nobody measured them.
        wet: what the rain means.
        rain_tenths: the rain that this rests on, in tenths of a millimetre.
    """

    each_ml: float
    plot_ml: float
    least_ml: float
    can_ml: int | None
    drip_ml_h: int | None
    sky: Sky
    highest_c: int
    elevation_m: int
    bare: bool
    beds: bool
    wet: Wet
    rain_tenths: int
