"""The forecast page."""

from datetime import timedelta
from typing import Final

from flask import Blueprint, abort, current_app, render_template, request

from service.agronomy.forecast import DAYS_AHEAD
from service.clock import local_day
from service.core.rights import Permission
from service.core.weeks import week_of
from service.use_cases.forecasting import look_ahead, reckons
from service.web.forecast.drawing import HEIGHT, about, bars, verdict
from service.web.forecast.kept import KeptOutlooks
from service.web.house import the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("forecast", __name__)

_TRIALS: Final = 8
# Whoever opens the page waits for it: forecasts of so many plots take about half a second.
_MOST: Final = 4000
# With so many plots the reckoning takes longer than that; the figures of the day are kept then.
_LARGE: Final = 1000


@pages.get("/forecast")
@needs(Permission.SEE)
def show() -> str:
    """Show what one district will tell, and what that rests on."""
    house, officer = the_house(), the_officer()
    wanted = request.args.get("district", type=int)
    with house.database.look() as work:
        theirs = {one.id: one for one in work.people.districts() if officer.covers(one.id)}
        if wanted is not None and wanted not in theirs:
            abort(404)
        district = next(iter(theirs.values()), None) if wanted is None else theirs[wanted]
        if district is None:
            return render_template("forecast/none.html")
        by = reckons(house.tools.calendar_in(district.name))
        today = local_day(house.service_clock.now(), district.zone)
        first = week_of(today)
        outlook, kept_at = _kept().look(
            (district.id, by.calendar.id),
            today,
            house.service_clock.now(),
            lambda: look_ahead(by, work.fields, district.id, first, trials=_TRIALS, most=_MOST),
        )
    found = outlook.forecast
    return render_template(
        "forecast/show.html",
        district=district,
        districts=theirs,
        first=first,
        last=first + timedelta(days=DAYS_AHEAD - 1),
        weeks=by.figures.history.weeks,
        least=by.figures.history.least_weeks,
        found=found,
        bars=bars(found) if found else (),
        days=[(first + timedelta(days=day), grams) for day, grams in enumerate(found.days)] if found else [],
        histories=outlook.histories,
        verdict=tuple(verdict(outlook.backtest)) if outlook.backtest else (),
        about=about,
        tall=HEIGHT,
        kept_at=kept_at,
    )


def _kept() -> KeptOutlooks:
    """Return what this process has kept of the day."""
    kept: KeptOutlooks = current_app.extensions.setdefault("kept_outlooks", KeptOutlooks(_LARGE))
    return kept
