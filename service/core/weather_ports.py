"""The weather of a district, and what is asked of the database about it.

Which figure of several holds: what was measured before what was forecast, a newer forecast before an older one, and
of two alike the one that came in last. Each figure is chosen by itself, so that a rain gauge of one's own stands
beside a forecast's temperatures; only the temperatures and the vapour come from one row together, since air of other
temperatures may not hold that vapour.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class DayWeather:
    """One local day of weather; None for what is not known.

    Attributes:
        observed: whether all that is known of it was measured.
        issued_at: when the newest forecast in it was issued; None if there is none.
        tmin_c: lowest temperature of the air, that of the night into this day for most.
        tmax_c: highest temperature of the air.
        wind_m_s: mean wind at 2 m above the ground.
        ea_kpa: actual vapour pressure.
        humidity_percent: mean relative humidity.
        radiation_mj_m2: solar radiation that reached the ground.
    """

    observed: bool
    issued_at: datetime | None = None
    tmin_c: float | None = None
    tmax_c: float | None = None
    rain_mm: float | None = None
    wind_m_s: float | None = None
    ea_kpa: float | None = None
    humidity_percent: float | None = None
    radiation_mj_m2: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class HourWeather:
    """One hour of weather; None for what is not known.

    Attributes:
        observed: whether all that is known of it was measured.
        issued_at: when the newest forecast in it was issued; None if there is none.
        wet_minutes: how many minutes of the hour leaves were wet.
    """

    observed: bool
    issued_at: datetime | None = None
    air_c: float | None = None
    rain_mm: float | None = None
    humidity_percent: float | None = None
    wet_minutes: int | None = None


class WeatherDays(Protocol):
    """What is known of the weather; batches that were taken back do not count."""

    def between(self, district_id: int, first: date, last: date) -> Mapping[date, DayWeather]:
        """Return the days of which something is known, first and last included, in their order."""
        ...

    def hours(self, district_id: int, since: datetime, until: datetime) -> Mapping[datetime, HourWeather]:
        """Return the hours that begin from `since` on and before `until`, by their beginning in UTC."""
        ...


class ImportWay(StrEnum):
    """By which way a batch came in."""

    CONSOLE = "console"
    COMMAND = "command"
    HOOK = "hook"


@dataclass(frozen=True, kw_only=True, slots=True)
class NewBatch:
    """Weather of one district that comes in together, and is taken back together.

    Attributes:
        officer_id: None where no officer stands behind it.
        file_name: how its sender calls it.
        days: by day.
        hours: by the beginning of each hour, in UTC.
    """

    district_id: int
    at: datetime
    officer_id: int | None
    way: ImportWay
    file_name: str
    days: Mapping[date, DayWeather]
    hours: Mapping[datetime, HourWeather]


@dataclass(frozen=True, kw_only=True, slots=True)
class Batch:
    """A batch as a list shows it.

    Attributes:
        officer: by name; None where no officer stood behind it.
    """

    id: int
    district_id: int
    district: str
    at: datetime
    officer: str | None
    way: ImportWay
    file_name: str
    rows: int
    undone_at: datetime | None


class WeatherBatches(Protocol):
    """Batches of weather."""

    def keep(self, new: NewBatch) -> int: ...
    def find(self, batch_id: int) -> Batch | None: ...
    def latest(self, districts: Iterable[int] | None, limit: int) -> tuple[Batch, ...]: ...
    def undo(self, batch_id: int, officer_id: int | None, at: datetime) -> bool: ...
