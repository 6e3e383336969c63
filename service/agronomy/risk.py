"""What a risk is, and what may be known when it is judged.

A risk has a level, the reason for it with its figures, and what was assumed. What nobody knows is never taken
for harmless: without the data a risk is unknown. A risk leads to clean plants and a look by an officer, never
to a spray by itself; the words for it stand in the catalogue.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import IntEnum, StrEnum

from service.agronomy.figures import possible
from service.core.errors import Refused


class Level(IntEnum):
    """How grave a risk is; the higher counts more."""

    UNKNOWN = 0
    NONE = 1
    WATCH = 2
    HIGH = 3
    SEVERE = 4


class Hazard(StrEnum):
    """What threatens."""

    FROST = "frost"
    HEAT = "heat"
    HEAVY_RAIN = "heavy_rain"
    HAIL = "hail"
    GREY_MOULD = "grey_mould"
    ANTHRACNOSE = "anthracnose"
    MILDEW = "mildew"
    PESTS = "pests"


class Stage(StrEnum):
    """What of flowers and fruit stands in a plot; several at a time are usual."""

    TIGHT_BUD = "tight_bud"
    POPCORN = "popcorn"
    OPEN = "open"
    FRUIT = "fruit"


class Hail(StrEnum):
    """What a forecast or an officer says of hail; no figure foresees it."""

    NOT_EXPECTED = "not_expected"
    POSSIBLE = "possible"
    EXPECTED = "expected"
    FALLEN = "fallen"


class Basis(StrEnum):
    """What a level rests on."""

    HOURS = "hours"
    DAYS = "days"
    ROUGH_DAY = "rough_day"
    """A day's figures stand in for hours that are not there: never above watch."""
    TOLD = "told"
    NOTHING = "nothing"


class Why(StrEnum):
    """The reason for a level; its figures stand in `Reason.values`."""

    NO_DATA = "no_data"
    COLDER_THAN_WATCH = "colder_than_watch"
    COLDER_THAN_ACT = "colder_than_act"
    COLDER_THAN_CRITICAL = "colder_than_critical"
    WARM_ENOUGH = "warm_enough"
    HOT_DAYS = "hot_days"
    EXTREME_HEAT = "extreme_heat"
    COOL_ENOUGH = "cool_enough"
    MUCH_RAIN = "much_rain"
    LITTLE_RAIN = "little_rain"
    HAIL_TOLD = "hail_told"
    STAGE_ABSENT = "stage_absent"
    WET_HOURS = "wet_hours"
    WET_DAY = "wet_day"
    DRY_OR_OUTSIDE = "dry_or_outside"
    MILDEW_DAYS = "mildew_days"
    FEW_MILDEW_DAYS = "few_mildew_days"
    TOO_FEW_REPLIES = "too_few_replies"
    SHARE_ROSE = "share_rose"
    NEWLY_FOUND = "newly_found"
    SHARE_STEADY = "share_steady"


class Assumed(StrEnum):
    """What was taken for granted."""

    OPEN_FLOWERS = "open_flowers"
    """Nobody told the stage, so that the most tender one counts."""
    DISEASE_STAGE = "disease_stage"
    """Nobody told the stage, so that the one the disease needs is taken as there."""
    AS_TIGHT_BUD = "as_tight_bud"
    """Neither bud, flower nor fruit stands there; for such plants there is no figure."""
    FORECAST_HEIGHT = "forecast_height"
    """The plot is taken to lie as high as the place of the forecast."""
    WET_BY_AIR = "wet_by_air"
    """No leaf was measured; rain or humid air counts as wet."""
    BEYOND_TESTED = "beyond_tested"
    """Part of the wet time was colder or warmer than anything that was tested."""
    HOURS_MISSING = "hours_missing"
    """Fewer than a day's hours are known."""
    FOUR_HOURS = "four_hours"
    """The heat is taken to have lasted as long as in the study, four hours."""


Value = float | int | str | date


@dataclass(frozen=True, kw_only=True, slots=True)
class Reason:
    """Why, and the figures that go with it by name."""

    why: Why
    values: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Risk:
    """One risk for one plot, or one village, on one day."""

    hazard: Hazard
    level: Level
    basis: Basis
    reason: Reason
    assumed: tuple[Assumed, ...] = ()


def unknown(hazard: Hazard, *needed: str) -> Risk:
    """Return the risk that cannot be judged, naming what would be needed."""
    reason = Reason(why=Why.NO_DATA, values={"needed": " ".join(needed)})
    return Risk(hazard=hazard, level=Level.UNKNOWN, basis=Basis.NOTHING, reason=reason)


@dataclass(frozen=True, kw_only=True, slots=True)
class Hour:
    """One hour of weather, measured or forecast; None for what is not known.

    Attributes:
        air_c: temperature of the air.
        leaf_wet: whether a sensor found the leaves wet.
        rain_mm: rain in this hour.
        humidity_percent: relative humidity.

    Raises:
        Refused: there is no such weather.
    """

    air_c: float
    leaf_wet: bool | None = None
    rain_mm: float | None = None
    humidity_percent: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no air can be."""
        _weather(air=self.air_c, rain_mm=self.rain_mm, humidity_percent=self.humidity_percent)


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """One local day of weather, measured or forecast; None for what is not known.

    Raises:
        Refused: there is no such weather, or the least warmth is above the most.
    """

    on: date
    min_c: float | None = None
    max_c: float | None = None
    rain_mm: float | None = None
    humidity_percent: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no day can be."""
        for air in (self.min_c, self.max_c):
            _weather(air=air, rain_mm=self.rain_mm, humidity_percent=self.humidity_percent)
        if self.min_c is not None and self.max_c is not None and self.min_c > self.max_c:
            raise Refused("The lowest temperature of a day is above its highest: correct one and ask again.")

    @property
    def mean_c(self) -> float | None:
        """The middle of lowest and highest temperature."""
        if self.min_c is None or self.max_c is None:
            return None
        return (self.min_c + self.max_c) / 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Conditions:
    """All that may be known of a plot and its weather when risks are judged.

    Attributes:
        on: the day judged.
        days: days up to it and the day itself, in any order.
        hours: hours up to the end of that day, one after the other; None stands for an hour nobody knows.
        stages: what stands in the plot; None when nobody knows.
        elevation_m: height of the plot.
        forecast_elevation_m: height of the place the weather is for.
        hail: what was said of hail.
    """

    on: date
    days: tuple[Day, ...] = ()
    hours: tuple[Hour | None, ...] = ()
    stages: frozenset[Stage] | None = None
    elevation_m: float | None = None
    forecast_elevation_m: float | None = None
    hail: Hail | None = None

    def __post_init__(self) -> None:
        """Refuse heights on which nothing grows."""
        for height in (self.elevation_m, self.forecast_elevation_m):
            if height is not None:
                possible("A height above the sea", height, -450, 6_000, "metres")

    def day(self, on: date) -> Day:
        """Return one of the days; one of which nothing is known if it is not there."""
        return next((day for day in self.days if day.on == on), Day(on=on))


def _weather(*, air: float | None, rain_mm: float | None, humidity_percent: float | None) -> None:
    for what, value, low, high, unit in (
        ("The temperature of the air", air, -60, 60, "°C"),
        ("Rain", rain_mm, 0, 2_000, "mm"),
        ("Humidity", humidity_percent, 0, 100, "percent"),
    ):
        if value is not None:
            possible(what, value, low, high, unit)
