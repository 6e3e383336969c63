"""The season strip as figures: days since planting from 0 to 1095, with the calendar's bands.

Along the strip a place is given in percent, so that the drawing can be as wide as the screen while its
lettering keeps its size; upright it is given in pixels from the top.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Final

from service.agronomy.calendar import END, WEEK, Calendar
from service.db.queries.console_values import Cohort

# Upright: pixels above day 0, and for each day.
TOP: Final = 14
PER_DAY: Final = 0.39
# Figures need that many pixels below each other, and that many days beside each other, to be told apart.
_APART_PX: Final = 13
_APART_DAYS: Final = 36
# A band with fewer days has its name below the line, for want of room inside.
_ROOMY_DAYS: Final = 80
_YEAR: Final = 365
# So many plots in a week fill the height: in a small programme a single plot shall not look like a crowd.
_FULL_HEIGHT: Final = 4


def along(day: int) -> float:
    """Return the place of a day on the lying strip, in percent from the left."""
    return round(100 * min(max(day, 0), END) / END, 2)


def down(day: int) -> float:
    """Return the place of a day on the upright strip, in pixels from the top."""
    return round(TOP + PER_DAY * min(max(day, 0), END), 1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Band:
    """A stretch of the season; `end` is the first day after it."""

    key: str
    name: str
    first: int
    end: int

    @property
    def roomy(self) -> bool:
        """Whether its name fits inside."""
        return self.end - self.first >= _ROOMY_DAYS

    @property
    def middle(self) -> int:
        """The day in its middle."""
        return (self.first + self.end) // 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A day's number below the strip.

    Attributes:
        day: the number.
        anchor: which end of the lettering stands at the day, in SVG's words.
        y: where its lettering stands on the upright strip, in pixels.
    """

    day: int
    anchor: str
    y: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """Something counted or weighed along the strip; `height` is its share of the largest, from 0 to 1."""

    day: int
    amount: int
    height: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Season:
    """The strip without anybody on it."""

    bands: tuple[Band, ...]
    figures: tuple[Figure, ...]

    def band_at(self, age: int) -> Band | None:
        """Return the band that holds an age in days; None before planting and after the end."""
        return next((band for band in self.bands if band.first <= age < band.end), None)

    def stage(self, age: int) -> str:
        """Return in words where a plot of that age stands."""
        if age < 0:
            return "not planted yet"
        band = self.band_at(age)
        return band.name if band else "past its three years"


AHEAD: Final = "ahead"
PAST: Final = "past"


def stages(season: Season) -> tuple[tuple[str, str], ...]:
    """Return all stages a plot can stand in, each with its key and its name, in the order of the season."""
    bands = ((band.key, band.name) for band in season.bands)
    return ((AHEAD, season.stage(-1)), *bands, (PAST, season.stage(END)))


def planting_days(season: Season, stage: str, today: date) -> tuple[date | None, date | None] | None:
    """Return the first and last planting day of plots in a stage today; None for a stage there is not."""
    if stage == AHEAD:
        return today + timedelta(days=1), None
    if stage == PAST:
        return None, today - timedelta(days=END)
    band = next((band for band in season.bands if band.key == stage), None)
    return (today - timedelta(days=band.end - 1), today - timedelta(days=band.first)) if band else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Field:
    """All plots standing on the strip today.

    Attributes:
        bars: for each week of age that has any, how many plots.
        by_band: how many plots stand in each band, by its key.
        ahead: plots still to be planted.
        past: plots older than the strip.
    """

    bars: tuple[Bar, ...]
    by_band: dict[str, int]
    ahead: int
    past: int

    @property
    def plots(self) -> int:
        """How many plots there are in all."""
        return sum(self.by_band.values()) + self.ahead + self.past


def lay_out(calendar: Calendar) -> Season:
    """Return the strip of a calendar; a task the calendar does not have brings no band."""
    off, stay = calendar.by_id.get("flowers_off"), calendar.by_id.get("flowers_stay")
    renew = calendar.by_id.get("renew")
    starts = (
        (0, "root", "taking root"),
        (off.first[0] if off else None, "off", "flowers off"),
        (stay.first[0] if stay else None, "stay", "flowers stay"),
        (calendar.picking_from, "pick", "picking"),
        (renew.first[0] if renew else None, "renew", "renewal"),
    )
    given = [(first, key, name) for first, key, name in starts if first is not None]
    bands = tuple(
        Band(key=key, name=name, first=first, end=after[0])
        for (first, key, name), after in pairwise([*given, (END, "", "")])
        if first < after[0]
    )
    return Season(bands=bands, figures=_figures(bands))


def _figures(bands: Sequence[Band]) -> tuple[Figure, ...]:
    """Number the edges of the bands and the years, each where it can be read.

    The edge between root and flowers off stays bare: it is too near to day 0, and no text depends on it.
    """
    edges = {band.first for band in bands if band.key not in ("root", "off")}
    days = sorted(edges | {0, END} | set(range(_YEAR, END, _YEAR)))
    figures: list[Figure] = []
    for place, day in enumerate(days):
        y = down(day) if not figures else max(down(day), figures[-1].y + _APART_PX)
        figures.append(Figure(day=day, anchor=_anchor(days, place), y=round(y, 1)))
    return tuple(figures)


def _anchor(days: Sequence[int], place: int) -> str:
    if place == 0 or days[place] - days[place - 1] < _APART_DAYS:
        return "start"
    last = place == len(days) - 1
    return "end" if last or days[place + 1] - days[place] < _APART_DAYS else "middle"


def stand(season: Season, cohorts: Iterable[Cohort], today: date) -> Field:
    """Let all plots stand on the strip, a bar for each week of age."""
    weeks: dict[int, int] = {}
    by_band = {band.key: 0 for band in season.bands}
    ahead = past = 0
    for cohort in cohorts:
        age = (today - cohort.planted_on).days
        band = season.band_at(age)
        if band is not None:
            by_band[band.key] += cohort.plots
            weeks[age // WEEK] = weeks.get(age // WEEK, 0) + cohort.plots
        elif age < 0:
            ahead += cohort.plots
        else:
            past += cohort.plots
    bars = scale({week * WEEK: plots for week, plots in weeks.items()}, least=_FULL_HEIGHT)
    return Field(bars=bars, by_band=by_band, ahead=ahead, past=past)


def scale(amounts: dict[int, int], least: int = 1) -> tuple[Bar, ...]:
    """Return amounts by day as bars, the largest of height 1; one below `least` does not fill the height."""
    largest = max([least, *amounts.values()])
    return tuple(
        Bar(day=day, amount=amount, height=round(amount / largest, 3))
        for day, amount in sorted(amounts.items())
    )


def marks(holds: Iterable[tuple[date, date]], planted_on: date) -> tuple[tuple[int, int], ...]:
    """Return the stretches of a strip on which a spray held picking back: first age, and the first age after it.

    Stretches that touch are one, so that no mark lies over another.
    """
    found: list[tuple[int, int]] = []
    for first, end in sorted(((one - planted_on).days, (free - planted_on).days) for one, free in holds):
        if end <= 0 or first >= END:
            continue
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((first, end))
    return tuple(found)


def new_years(planted_on: date) -> tuple[tuple[int, int], ...]:
    """Return, for one plot's strip, the ages at which a year begins, each with its number."""
    years = range(planted_on.year + 1, (planted_on + timedelta(days=END)).year + 1)
    return tuple(((date(year, 1, 1) - planted_on).days, year) for year in years)
