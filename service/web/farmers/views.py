"""Today, with the list of farmers, and a farmer's own page."""

from datetime import date
from math import ceil
from typing import Final

from flask import Blueprint, abort, render_template, request

from service.clock import local_day
from service.core.rights import Permission
from service.db.queries.console_values import PlotFacts
from service.use_cases.holding import the_hold
from service.web.farmers import season, talk
from service.web.farmers.jobs import coming_days, past_jobs
from service.web.farmers.picks import add_up
from service.web.house import Work, the_house
from service.web.permissions import needs

pages = Blueprint("farmers", __name__)

PAGE: Final = 50
_WAITING_SHOWN: Final = 12
_JOBS_SHOWN: Final = 40
_TEXTS_SHOWN: Final = 30
_TEXTS_MOST: Final = 600
_LONGEST_SEARCH: Final = 80
_LAST_PAGE: Final = 100_000
# What a row id can be in either engine: a signed number of 64 bits.
_LARGEST_ID: Final = 2**63 - 1


@pages.get("/")
@needs(Permission.SEE)
def today() -> str:
    """Show what needs a person, where all plots stand, and the list of farmers."""
    house = the_house()
    now = house.service_clock.now()
    on = local_day(now, house.settings.zone)
    named = " ".join(request.args.get("name", "")[:_LONGEST_SEARCH].split())
    page = min(max(request.args.get("page", 1, type=int), 1), _LAST_PAGE)
    strip = season.lay_out(house.calendar)
    with house.database.look() as work:
        waiting = work.console.waiting(_WAITING_SHOWN)
        field = season.stand(strip, work.console.cohorts(), on)
        farmers = work.console.farmers(named=named, page=page, size=PAGE)
        hold = the_hold(work)
    return render_template(
        "farmers/today.html",
        now=now,
        hold=hold,
        real_now=house.real_clock.now(),
        today=on,
        zone=house.settings.zone,
        waiting=waiting,
        strip=strip,
        field=field,
        farmers=farmers,
        named=named,
        page=page,
        last_page=max(ceil(farmers.total / PAGE), 1),
        along=season.along,
        down=season.down,
    )


@pages.get(f"/farmers/<int(max={_LARGEST_ID}):farmer_id>")
@needs(Permission.SEE)
def person(farmer_id: int) -> str:
    """Show one farmer: the season, the jobs, the weights, and what was said."""
    house = the_house()
    now = house.service_clock.now()
    shown = min(max(request.args.get("texts", _TEXTS_SHOWN, type=int), 1), _TEXTS_MOST)
    with house.database.look() as work:
        facts = work.console.farmer.facts(farmer_id) or abort(404)
        plots = work.console.farmer.plots(farmer_id)
        questions = work.console.farmer.open_questions(farmer_id)
        said = work.console.farmer.talk(farmer_id, shown + 1)
        plot = _chosen(plots, request.args.get("plot", type=int))
        stand = _stand(work, plot, local_day(now, facts.zone)) if plot else {}
    return render_template(
        "farmers/person.html",
        now=now,
        today=local_day(now, facts.zone),
        farmer=facts,
        plots=plots,
        plot=plot,
        questions=questions,
        said=talk.lines(said[:shown]),
        more=min(4 * shown, _TEXTS_MOST) if len(said) > shown else None,
        **stand,
    )


def _chosen(plots: tuple[PlotFacts, ...], wanted: int | None) -> PlotFacts | None:
    """Return the plot that was asked for if it is this farmer's, else the first."""
    return next((plot for plot in plots if plot.id == wanted), plots[0] if plots else None)


def _stand(work: Work, plot: PlotFacts, on: date) -> dict[str, object]:
    """Gather what the page shows of one plot."""
    house = the_house()
    strip = season.lay_out(house.calendar)
    age = (on - plot.planted_on).days
    weights = work.console.farmer.weights(plot.id)
    return {
        "strip": strip,
        "age": age,
        "stage": strip.stage(age),
        "years": season.new_years(plot.planted_on),
        "fruit": house.calendar.first_fruit_between(plot.planted_on, plot.elevation_m),
        "picks": add_up(weights, plants=plot.plants, planted_on=plot.planted_on, today=on),
        "coming": coming_days(house.calendar, plot, on, house.catalogue),
        "past": past_jobs(work.console.farmer.reminders(plot.id, _JOBS_SHOWN), house.catalogue),
        "along": season.along,
        "down": season.down,
    }
