"""The drawing of past weeks and of those to come, and how its figures are written."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from service.agronomy.forecast import Forecast
from service.agronomy.forecast_backtest import FOUR_WEEKS, LAST_WEEK, OURS, Backtest
from service.agronomy.forecast_plots import WEEK

_GRAMS_A_KILO: Final = 1000
# Fewer kilos than these are told with a decimal.
_ROUND_FROM: Final = 10
# How much of its place a week's bar fills, and how many pixels the highest may take.
_FILLED: Final = 0.8
HEIGHT: Final = 120


@dataclass(frozen=True, kw_only=True, slots=True)
class WeekBar:
    """A week of the drawing; `x` and `width` are percent of it, heights pixels from below.

    Attributes:
        first: its first day, and `last` its last.
        grams: told or expected; None where nobody told anything.
        plots: how many told; None for a week to come.
        low: where the range begins, and `high` where it ends; both None for a week that is over.
        range: the same in kilos.
        lettered: whether its day stands below.
    """

    first: date
    last: date
    grams: float | None
    plots: int | None
    x: float
    width: float
    height: float
    low: float | None = None
    high: float | None = None
    range: tuple[str, str] | None = None
    lettered: bool = False


def bars(found: Forecast) -> tuple[WeekBar, ...]:
    """Return the weeks that are known and those to come, the oldest first."""
    best = max(week.high for week in found.weeks)
    best = max(best, *(week.told or 0 for week in found.past)) or 1
    count = len(found.past) + len(found.weeks)
    return tuple(_bars(found, HEIGHT / best, count))


def _bars(found: Forecast, scale: float, count: int) -> Iterator[WeekBar]:
    wide = 100 / count
    for place, week in enumerate(found.past):
        yield WeekBar(
            first=week.first,
            last=week.first + timedelta(days=WEEK - 1),
            grams=week.told,
            plots=week.plots,
            x=round(place * wide, 2),
            width=round(_FILLED * wide, 2),
            height=round((week.told or 0) * scale, 1),
            lettered=place % 2 == 0,
        )
    for place, range_ in enumerate(found.weeks, start=len(found.past)):
        first = found.first + timedelta(days=WEEK * (place - len(found.past)))
        yield WeekBar(
            first=first,
            last=first + timedelta(days=WEEK - 1),
            grams=range_.expected,
            plots=None,
            x=round(place * wide, 2),
            width=round(_FILLED * wide, 2),
            height=round(range_.expected * scale, 1),
            low=round(range_.low * scale, 1),
            high=round(range_.high * scale, 1),
            range=(about(range_.low), about(range_.high)),
            lettered=place % 2 == 0,
        )


def about(grams: float) -> str:
    """Return grams as kilos no finer than they are known: 8.4, 412."""
    kilos = grams / _GRAMS_A_KILO
    return f"{kilos:,.0f}" if kilos >= _ROUND_FROM else f"{kilos:,.1f}"


def verdict(found: Backtest) -> Iterable[str]:
    """Yield in plain words how good such forecasts have been."""
    off = {name: about(found.off(name)) for name in (OURS, LAST_WEEK, FOUR_WEEKS)}
    yield (
        f"Made again as of weeks that are over, the forecast was off by {off[OURS]} kg a week on average. Taking last "
        f"week again would have been off by {off[LAST_WEEK]} kg, the mean of four weeks by {off[FOUR_WEEKS]} kg."
    )
    yield (
        f"Of {len(found.weeks)} weeks forecast, {found.inside} lay within their range; eight in ten are meant to."
    )
    if found.off(OURS) > min(found.off(LAST_WEEK), found.off(FOUR_WEEKS)):
        yield "So one of the plain ways was nearer here: take the forecast with care."
