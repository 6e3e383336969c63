"""The day's strip: the hours in which an alert is of use, the quiet hours in them, and now.

Places are in percent from the left, as on the season's strip, so that the drawing is as wide as the screen.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from babel.dates import format_date

from service.core.alerts import Count
from service.use_cases.hours import QUIET_FROM, QUIET_UNTIL

_DAY: Final = timedelta(days=1)
_HOURS: Final = (0, 6, 12, 18)


@dataclass(frozen=True, kw_only=True, slots=True)
class Stretch:
    """A part of the line, in percent."""

    left: float
    width: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Mark:
    """Lettering below the line; `anchor` is which end of it stands at its place, in SVG's words."""

    left: float
    words: str
    anchor: str


@dataclass(frozen=True, kw_only=True, slots=True)
class DayLine:
    """The strip of an alert; `now` is None outside it."""

    quiet: tuple[Stretch, ...]
    use: Stretch
    now: float | None
    marks: tuple[Mark, ...]


def lay_out(begins: datetime, ends: datetime, now: datetime, zone: str) -> DayLine:
    """Lay out the days from the one an alert begins on to the one after which it is of no use."""
    first = begins.astimezone(ZoneInfo(zone)).replace(hour=0, minute=0, second=0, microsecond=0)
    last = ends.astimezone(ZoneInfo(zone))
    days = (last.date() - first.date()).days + 1
    whole = days * _DAY

    def place(instant: datetime) -> float:
        share = (instant.astimezone(ZoneInfo(zone)) - first) / whole
        return round(100 * min(max(share, 0), 1), 2)

    quiet = []
    for number in range(days):
        day = first + number * _DAY
        morning, evening = place(day + timedelta(hours=QUIET_UNTIL)), place(day + timedelta(hours=QUIET_FROM))
        quiet.append(Stretch(left=place(day), width=round(morning - place(day), 2)))
        quiet.append(Stretch(left=evening, width=round(place(day + _DAY) - evening, 2)))
    return DayLine(
        quiet=tuple(quiet),
        use=Stretch(left=place(begins), width=round(place(ends) - place(begins), 2)),
        now=place(now) if first <= now.astimezone(ZoneInfo(zone)) < first + whole else None,
        marks=_marks(first, days),
    )


def _marks(first: datetime, days: int) -> tuple[Mark, ...]:
    if days == 1:
        hours = (Mark(left=100 * hour / 24, words=f"{hour:02d}", anchor="middle") for hour in _HOURS[1:])
        return (
            Mark(left=0, words="00", anchor="start"),
            *hours,
            Mark(left=100, words="24", anchor="end"),
        )
    return tuple(
        Mark(
            left=round(100 * number / days, 2),
            words=format_date((first + number * _DAY).date(), "EEE", locale="en"),
            anchor="start",
        )
        for number in range(days)
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """A piece of the progress bar: which figure it is, in percent of all that are texted."""

    key: str
    left: float
    width: float


def bar(counted: Count) -> tuple[Piece, ...]:
    """Return the progress bar of an alert; whoever was left out has no place in it."""
    texted = counted.audience - counted.left_out
    pieces, left = [], 0.0
    for key in ("sent", "in_doubt", "failed", "cancelled", "waiting"):
        width = round(100 * getattr(counted, key) / texted, 2) if texted else 0.0
        if width:
            pieces.append(Piece(key=key, left=round(left, 2), width=width))
        left += width
    return tuple(pieces)
