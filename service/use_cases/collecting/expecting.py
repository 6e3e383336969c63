"""What a group will bring to a collection by the forecast: by what its plots have borne and what they brought before.

The week's forecast is shared out by the days since the collection before, as fruit ripens every day. A part of a week
is less sure than the week: its range is as wide as if its days erred independently of each other, which is common
practice, no source. Nothing of it is a promise.
"""

from datetime import date, timedelta
from math import sqrt
from typing import Final

from service.agronomy.calendar import END
from service.agronomy.forecast import DAYS_AHEAD, Range, forecast
from service.agronomy.forecast_plots import WEEK, BearingPlot, Pick
from service.core.collecting import Collection
from service.core.forecast_ports import Fields
from service.core.ports import Work
from service.use_cases.forecasting import reckons
from service.use_cases.tools import Tools

_DAY: Final = timedelta(days=1)


def expect(
    work: Work, fields: Fields, tools: Tools, collection: Collection, *, day: date, today: date
) -> Range | None:
    """Return what should come on a day, in grams, by what was known before it; None where too little is known."""
    first = min(day, today)
    if day >= first + timedelta(days=DAYS_AHEAD):
        return None
    by = reckons(tools.calendar_in(collection.district))
    since = first - timedelta(days=by.figures.days)
    bearing = _bearing(work, fields, tools, collection, since=since, first=first)
    found = forecast(by.figures, by.yields, bearing, first)
    if found is None:
        return None
    week = found.weeks[(day - first).days // WEEK]
    part = min(1.0, _ripens(collection, day) / WEEK)
    apart = (week.high - week.expected) * sqrt(part)
    expected = week.expected * part
    return Range(low=max(0.0, expected - apart), expected=expected, high=expected + apart)


def _ripens(collection: Collection, day: date) -> int:
    """Return for how many days fruit has ripened since the collection before; a week where there was none."""
    back = (gap for gap in range(1, WEEK) if collection.is_on(day - timedelta(days=gap)))
    return next(back, WEEK)


def _bearing(
    work: Work, fields: Fields, tools: Tools, collection: Collection, *, since: date, first: date
) -> list[BearingPlot]:
    """Return the plots with what was told of them, and what their farmers brought where no weight was told."""
    plots = work.collections.plots(collection.id)
    elevation = next(one.elevation_m for one in work.people.districts() if one.id == collection.district_id)
    told: dict[int, list[Pick]] = {plot.id: [] for plot in plots}
    for plot_id, on, grams in fields.picked(list(told), since, first):
        told[plot_id].append(Pick(on, grams))
    return [
        BearingPlot(
            first_fruit_on=tools.calendar_of(plot.calendar_id).first_fruit_between(
                plot.planted_on, plot.elevation_m or elevation
            )[0],
            ends_on=plot.planted_on + timedelta(days=END),
            plants=plot.plants,
            picks=told[plot.id],
        )
        for plot in plots
    ]
