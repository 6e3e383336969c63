"""One line of weather after the other: what it says, or in a sentence why it cannot be taken.

A line is cells by the name of their column, wherever it comes from. All lines are looked at, so that whoever sends a
file hears of all its faults at once.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from service.agronomy.evapotranspiration import saturation_kpa
from service.core.weather_ports import DayWeather, HourWeather
from service.use_cases.weather.figures import FIGURES, Figure, Span

_NUMBER: Final = re.compile(r"[+-]?\d{1,6}([.,]\d{1,6})?")
# An old file may be taken in; an older day is a slip of the year.
_FIRST: Final = date(2000, 1, 1)
# Nobody forecasts a day so far ahead that it could be acted upon.
_FARTHEST: Final = timedelta(days=30)
_HPA: Final = 10
_LONGEST_SHOWN: Final = 40


@dataclass(frozen=True, kw_only=True, slots=True)
class Origin:
    """Where lines come from.

    Attributes:
        zone: that of the district, in which days and hours without a zone are meant.
        now: service time.
        issued_at: when the forecast was issued; None for what was measured.
    """

    zone: str
    now: datetime
    issued_at: datetime | None = None

    @property
    def today(self) -> date:
        """The district's day."""
        return self.local(self.now)

    def local(self, instant: datetime) -> date:
        """Return the district's day of an instant."""
        return instant.astimezone(ZoneInfo(self.zone)).date()


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """Why a line cannot be taken; lines count from 1, the one with the names of the columns."""

    line: int
    sentence: str

    def __str__(self) -> str:
        """Return both as one sentence."""
        return f"Line {self.line}: {self.sentence}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Gathered:
    """What some lines say, and what is wrong with the others."""

    days: Mapping[date, DayWeather]
    hours: Mapping[datetime, HourWeather]
    faults: tuple[Fault, ...]


class _Wrong(ValueError):
    """A line cannot be taken; the message is a sentence for who wrote it."""


def gather(span: Span, lines: Iterable[tuple[int, Mapping[str, Any]]], origin: Origin) -> Gathered:
    """Read lines of days or of hours, each with its number."""
    read, found, faults = _READ[span], {}, []
    first_in: dict[Any, int] = {}
    for line, cells in lines:
        try:
            when = read.when(cells.get(span), origin)
            _once(cells[span], first_in.get(when))
            first_in[when] = line
            found[when] = _weather(span, read.made, cells, origin)
        except _Wrong as wrong:
            faults.append(Fault(line=line, sentence=str(wrong)))
    days, hours = (found, {}) if span is Span.DAY else ({}, found)
    return Gathered(days=days, hours=hours, faults=tuple(faults))


def _shown(cell: Any) -> str:  # noqa: ANN401 - whatever was sent
    """Return as much of a cell as a sentence has room for."""
    return str(cell)[:_LONGEST_SHOWN]


def _once(cell: Any, earlier: int | None) -> None:  # noqa: ANN401 - whatever was sent
    if earlier is not None:
        raise _Wrong(f"{cell} stands in line {earlier} already: take one of the two out.")


def _weather(span: Span, made: Callable[..., Any], cells: Mapping[str, Any], origin: Origin) -> Any:  # noqa: ANN401 - of a day or an hour
    figures = {figure.name: _figure(figure, cells.get(figure.column)) for figure in FIGURES[span]}
    if all(value is None for value in figures.values()):
        raise _Wrong("it says nothing: fill in a figure, or take the line out.")
    weather = made(observed=origin.issued_at is None, issued_at=origin.issued_at, **figures)
    if isinstance(weather, DayWeather):
        _agrees(weather)
    return weather


def _figure(figure: Figure, cell: Any) -> float | None:  # noqa: ANN401 - whatever was sent
    if cell is None or (isinstance(cell, str) and not cell.strip()):
        return None
    value = _number(figure, cell)
    if not figure.low <= value <= figure.high:
        raise _Wrong(
            f"{figure.column} is {_shown(cell)}, outside of {figure.low} to {figure.high} {figure.unit}: "
            "correct it, or leave it empty."
        )
    # Kept in tenths: what is compared here is what will be read.
    tenths = round(value, 1)
    return round(value) if figure.name == "wet_minutes" else tenths / figure.a_unit


def _number(figure: Figure, cell: Any) -> float:  # noqa: ANN401 - whatever was sent
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return cell
    if not isinstance(cell, str) or not _NUMBER.fullmatch(cell.strip()):
        raise _Wrong(f"{figure.column} is {_shown(cell)!r}, which is no number: write it like 12.5.")
    return float(cell.strip().replace(",", "."))


def _agrees(day: DayWeather) -> None:
    """Refuse figures that cannot be together."""
    if day.tmin_c is None or day.tmax_c is None:
        return
    if day.tmin_c > day.tmax_c:
        raise _Wrong(f"tmin_c {day.tmin_c:g} lies above tmax_c {day.tmax_c:g}: exchange or correct them.")
    most_kpa = (saturation_kpa(day.tmin_c) + saturation_kpa(day.tmax_c)) / 2
    if day.ea_kpa is not None and day.ea_kpa > most_kpa:
        raise _Wrong(
            f"vapour_hpa is {day.ea_kpa * _HPA:g}, but air of these temperatures holds {most_kpa * _HPA:.1f} hPa at "
            "most: correct it, or leave it empty."
        )


def _day(cell: Any, origin: Origin) -> date:  # noqa: ANN401 - whatever was sent
    try:
        day = date.fromisoformat(str(cell).strip())
    except ValueError:
        raise _Wrong(f"day is {_shown(cell)!r}, which is no day: write it like 2026-03-25.") from None
    _in_its_time(day, str(cell), origin, to_come=day > origin.today)
    return day


def _hour(cell: Any, origin: Origin) -> datetime:  # noqa: ANN401 - whatever was sent
    try:
        hour = datetime.fromisoformat(str(cell).strip())
    except ValueError:
        raise _Wrong(f"hour is {_shown(cell)!r}, which is no hour: write it like 2026-03-25T05:00.") from None
    if hour.minute or hour.second or hour.microsecond:
        raise _Wrong(f"hour is {cell}: write the full hour at which it begins, like 2026-03-25T05:00.")
    begins = (hour if hour.tzinfo else hour.replace(tzinfo=ZoneInfo(origin.zone))).astimezone(UTC)
    _in_its_time(origin.local(begins), str(cell), origin, to_come=begins > origin.now)
    return begins


def _in_its_time(day: date, cell: str, origin: Origin, *, to_come: bool) -> None:
    """Refuse a day that was neither measured nor forecast by anybody."""
    issued = None if origin.issued_at is None else origin.local(origin.issued_at)
    if day < _FIRST:
        raise _Wrong(f"{cell} lies before the year {_FIRST.year}: correct it.")
    if issued is None and to_come:
        raise _Wrong(f"{cell} is still to come: send it as a forecast, with the moment it was issued.")
    if issued is not None and day < issued:
        raise _Wrong(f"{cell} had passed when the forecast was issued, on {issued}: take the line out.")
    if issued is not None and day > issued + _FARTHEST:
        raise _Wrong(f"{cell} is more than {_FARTHEST.days} days after the forecast was issued: take it out.")


@dataclass(frozen=True, slots=True)
class _Reading:
    when: Callable[[Any, Origin], Any]
    made: Callable[..., Any]


_READ: Final = {Span.DAY: _Reading(_day, DayWeather), Span.HOUR: _Reading(_hour, HourWeather)}
