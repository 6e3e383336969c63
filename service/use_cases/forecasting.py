"""What a district will tell in the next two weeks, from its plots and their weights as they stand in the database."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Final

from service.agronomy.calendar import END, Calendar
from service.agronomy.forecast import DAYS_AHEAD, Forecast, forecast
from service.agronomy.forecast_backtest import Backtest, backtest
from service.agronomy.forecast_figures import ForecastFigures, load_forecast
from service.agronomy.forecast_plots import WEEK, WEEKS_AHEAD, BearingPlot, Pick
from service.agronomy.yield_figures import YieldFigures, load_yield
from service.core.forecast_ports import FieldPlot, Fields

# So many plots are asked for at once: enough that the question itself takes no time.
_CHUNK: Final = 1000
_LEAST_TRIALS: Final = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Reckons:
    """What forecasts are reckoned with; `reckons` returns the shipped figures beside a programme's calendar."""

    calendar: Calendar
    figures: ForecastFigures
    yields: YieldFigures


_forecast_figures: Final = cache(load_forecast)
_yield_figures: Final = cache(load_yield)


def reckons(calendar: Calendar) -> Reckons:
    """Return what is reckoned with where plots follow a calendar."""
    return Reckons(calendar=calendar, figures=_forecast_figures(), yields=_yield_figures())


@dataclass(frozen=True, kw_only=True, slots=True)
class Histories:
    """How many plots that may bear have told how much in the weeks that a forecast looks back.

    Attributes:
        many: in at least half of the weeks.
        few: in fewer of them.
        none: in no week.
    """

    many: int
    few: int
    none: int

    @property
    def plots(self) -> int:
        """All of them."""
        return self.many + self.few + self.none


@dataclass(frozen=True, kw_only=True, slots=True)
class Outlook:
    """A district's two weeks to come, and how good such forecasts have been.

    Attributes:
        forecast: None where too little was told.
        backtest: None where no week could be tried.
        histories: what the forecast rests on.
    """

    forecast: Forecast | None
    backtest: Backtest | None
    histories: Histories


def read_plots(
    fields: Fields, calendar: Calendar, district_id: int, since: date, first: date
) -> tuple[BearingPlot, ...]:
    """Return the plots of a district with what was told of them from the day `since` to the day before `first`."""
    # The youngest too: where flowers were left on weights are told sooner than they are expected.
    plots = fields.plots(district_id, since - timedelta(days=END), first)
    return _with_weights(fields, calendar, plots, since, first)


def look_ahead(
    by: Reckons, fields: Fields, district_id: int, first: date, *, trials: int, most: int | None = None
) -> Outlook:
    """Forecast a district from the day `first` on, and try the forecast on `trials` beginnings of past weeks.

    `most` is for whom somebody waits: of how many plots forecasts may be tried in all. A large district is tried on
    fewer weeks then, but on two at least.
    """
    figures = by.figures
    longest = figures.days + WEEK * (trials + WEEKS_AHEAD - 1)
    plots = fields.plots(district_id, first - timedelta(days=longest + END), first)
    if most is not None:
        trials = min(trials, max(_LEAST_TRIALS, most // max(1, len(plots))))
    since = first - timedelta(days=figures.days + WEEK * (trials + WEEKS_AHEAD - 1))
    told = _with_weights(fields, by.calendar, plots, since, first)
    known = [plot.between(first - timedelta(days=figures.days), first) for plot in told]
    return Outlook(
        forecast=forecast(figures, by.yields, known, first),
        backtest=backtest(figures, by.yields, told, first, trials),
        histories=_histories(told, first, figures.history.weeks),
    )


def _with_weights(
    fields: Fields, calendar: Calendar, plots: Sequence[FieldPlot], since: date, first: date
) -> tuple[BearingPlot, ...]:
    """Read what was told of plots, a chunk of them at a time."""
    found: list[BearingPlot] = []
    for begin in range(0, len(plots), _CHUNK):
        chunk = plots[begin : begin + _CHUNK]
        told: dict[int, list[Pick]] = {plot.id: [] for plot in chunk}
        for plot_id, on, grams in fields.picked(list(told), since, first):
            told[plot_id].append(Pick(on, grams))
        found.extend(_bearing(calendar, plot, told[plot.id]) for plot in chunk)
    return tuple(found)


def _bearing(calendar: Calendar, plot: FieldPlot, picks: Sequence[Pick]) -> BearingPlot:
    return BearingPlot(
        first_fruit_on=calendar.first_fruit_between(plot.planted_on, plot.elevation_m)[0],
        ends_on=plot.planted_on + timedelta(days=END),
        plants=plot.plants,
        picks=picks,
    )


def _histories(plots: Sequence[BearingPlot], first: date, weeks: int) -> Histories:
    begins = first - timedelta(days=WEEK * weeks)
    ends = first + timedelta(days=DAYS_AHEAD)
    told = [
        len({(pick.on - begins).days // WEEK for pick in plot.picks if pick.on >= begins})
        for plot in plots
        if plot.first_fruit_on < ends and plot.ends_on > first
    ]
    return Histories(
        many=sum(2 * count >= weeks for count in told),
        few=sum(0 < 2 * count < weeks for count in told),
        none=told.count(0),
    )
