"""Today, and a farmer's own page."""

from datetime import date, timedelta
from typing import Final

from flask import Blueprint, abort, render_template, request

from service.clock import local_day
from service.core.collecting import Collection
from service.core.currencies import written
from service.core.model import HarvestState
from service.core.rights import Permission
from service.db.queries.console_farmer import FarmerConsole
from service.db.queries.console_values import FarmerFacts, PlotFacts, Weight
from service.use_cases.gross_margin import money_of_plot
from service.use_cases.holding import the_hold
from service.use_cases.places import TOLD_FOR
from service.use_cases.resting import can_take_back
from service.web.farmers import season, talk
from service.web.farmers.jobs import coming_days, past_jobs, plot_days
from service.web.farmers.kept import sentence
from service.web.farmers.pace import sentences
from service.web.farmers.picks import add_up
from service.web.farmers.text_days import text_days
from service.web.farmers.vessels import vessels_told
from service.web.farmers.water import plot_water
from service.web.house import the_house
from service.web.permissions import needs, the_officer
from service.web.questions.thread import tell
from service.web.weather import dangers

pages = Blueprint("farmers", __name__)

_WAITING_SHOWN: Final = 12
_DAY: Final = timedelta(days=1)
_SILENT_SHOWN: Final = 10
_DANGERS_SHOWN: Final = 8
# A danger of today, tonight or tomorrow stands above what people ask; of later days there is time to write.
_NEAR: Final = timedelta(days=1)
_HELD_SHOWN: Final = 30
_SPRAYS_SHOWN: Final = 50
_BROUGHT_SHOWN: Final = 12
_LOOKS_SHOWN: Final = 6
_JOBS_SHOWN: Final = 40
_QUESTIONS_SHOWN: Final = 30
_TEXTS_SHOWN: Final = 5
_TEXTS_MOST: Final = 600
# What a row id can be in either engine: a signed number of 64 bits.
LARGEST_ID: Final = 2**63 - 1


@pages.get("/")
@needs(Permission.SEE)
def today() -> str:
    """Show what needs a person, and where all plots stand."""
    house = the_house()
    now, real_now = house.service_clock.now(), house.real_clock.now()
    on = local_day(now, house.settings.zone)
    strip = season.lay_out(house.calendar)
    with house.database.look() as work:
        sight = work.console.within(the_officer().districts)
        waiting = sight.waiting(_WAITING_SHOWN)
        field = season.stand(strip, sight.cohorts(), on)
        hold = the_hold(work)
        threats, left_dangers = dangers.waiting(work), dangers.left_at_that(work)
        silent = sight.silent(now, _SILENT_SHOWN + 1)
        held = sight.holds(on, _HELD_SHOWN + 1)
        places = work.logins.new_places(real_now - TOLD_FOR) if _administers() else ()
    return render_template(
        "farmers/today.html",
        now=now,
        hold=hold,
        real_now=real_now,
        places=places,
        today=on,
        zone=house.settings.zone,
        waiting=waiting,
        dangers=threats[:_DANGERS_SHOWN],
        more_dangers=max(len(threats) - _DANGERS_SHOWN, 0),
        near=on + _NEAR,
        danger_count=sum(not one.goes_by_itself for one in threats),
        left_dangers=left_dangers,
        silent=silent[:_SILENT_SHOWN],
        more_silent=len(silent) > _SILENT_SHOWN,
        held=held[:_HELD_SHOWN],
        more_held=len(held) > _HELD_SHOWN,
        strip=strip,
        field=field,
        along=season.along,
        down=season.down,
    )


def _administers() -> bool:
    return the_officer().may(Permission.ADMINISTER)


@pages.get(f"/farmers/<int(max={LARGEST_ID}):farmer_id>")
@needs(Permission.SEE)
def person(farmer_id: int) -> str:
    """Show one farmer: the season, the jobs, the weights, and what was said."""
    house = the_house()
    now = house.service_clock.now()
    shown = min(max(request.args.get("texts", _TEXTS_SHOWN, type=int), 1), _TEXTS_MOST)
    with house.database.look() as work:
        farmer = work.console.within(the_officer().districts).farmer(farmer_id) or abort(404)
        facts, plots = farmer.facts(), farmer.plots()
        questions = farmer.questions(_QUESTIONS_SHOWN)
        thread = tell(questions, farmer.answers(questions), now)
        said = farmer.talk(shown + 1)
        standing = work.changing.standing(farmer_id)
        silent = farmer.silent(now)
        plot = _chosen(plots, request.args.get("plot", type=int))
        on = local_day(now, facts.zone)
        follows = plot.collection_id if plot else None
        collection = None if follows is None else work.collections.get(follows)
        came = work.fields.brought([plot.id], plot.planted_on, on + _DAY) if plot else ()
        untold = tuple(
            Weight(id=0, picked_on=day, grams=grams, state=HarvestState.COUNTED, at=now)
            for _, day, grams in came
        )
        stand = _stand(farmer, plot, on, collection, untold) if plot else {}
        days = _text_days(facts, plots, plot, on, collection) if plot else ""
        water = plot_water(work, facts, plot, on) if plot else None
        money = (
            money_of_plot(work.money, house.tools, plot.id, on, farmer_id=farmer_id, newest=plot == plots[0])
            if plot
            else None
        )
        vessels = vessels_told(work.vessels.of_farmer(farmer_id))
        looks = work.scouting.of_plot(plot.id, _LOOKS_SHOWN) if plot else ()
        brought = work.collection_lists.of_farmer(farmer_id, _BROUGHT_SHOWN)
    return render_template(
        "farmers/person.html",
        now=now,
        today=local_day(now, facts.zone),
        farmer=facts,
        plots=plots,
        plot=plot,
        thread=thread,
        said=talk.lines(one for one in said[:shown] if not talk.waits(one, now)),
        to_come=talk.lines(one for one in said[:shown] if talk.waits(one, now)),
        more=len(said) > shown,
        shown=shown,
        most=_TEXTS_MOST,
        kept=sentence(request.args.get("kept", ""), plot),
        water=water,
        vessels=vessels,
        money=money,
        brought=brought,
        looks=looks,
        looks_shown=_LOOKS_SHOWN,
        collection=collection,
        text_days=days,
        written=written,
        silent=silent,
        stop_can_go_back=can_take_back(standing, now) if standing else False,
        **stand,
    )


def _chosen(plots: tuple[PlotFacts, ...], wanted: int | None) -> PlotFacts | None:
    """Return the plot that was asked for if it is this farmer's, else the first."""
    return next((plot for plot in plots if plot.id == wanted), plots[0] if plots else None)


def _text_days(
    facts: FarmerFacts, plots: tuple[PlotFacts, ...], plot: PlotFacts, on: date, collection: Collection | None
) -> str:
    """Tell on which days texts come: of all plots that are texted about together, of one at rest as if it were not."""
    together = [one for one in plots if one.live and one.calendar_id == plot.calendar_id] or [plot]
    calendar = the_house().tools.calendar_of(plot.calendar_id)
    return text_days(calendar, [plot_days(one) for one in together], facts.text_hour, collection, on)


def _stand(
    farmer: FarmerConsole,
    plot: PlotFacts,
    on: date,
    collection: Collection | None,
    untold: tuple[Weight, ...],
) -> dict[str, object]:
    """Gather what the page shows of one plot; `untold` is what collections weighed and the farmer did not tell."""
    house = the_house()
    whole = house.tools.calendar_of(plot.calendar_id)
    calendar = whole.for_bits(plot.traits)
    strip = season.lay_out(calendar)
    age = (on - plot.planted_on).days
    weights = farmer.weights(plot.id)
    fruit = calendar.first_fruit_between(plot.planted_on, plot.elevation_m)
    sprays = [spray for spray in farmer.sprays(plot.id, _SPRAYS_SHOWN) if not spray.taken_back]
    running = [spray for spray in sprays if spray.sprayed_on <= on < spray.pick_from]
    free = max((spray.pick_from for spray in running), default=None)
    return {
        "strip": strip,
        "age": age,
        "stage": strip.stage(age),
        "years": season.new_years(plot.planted_on),
        "fruit": fruit,
        "picks": add_up(weights, brought=untold, plants=plot.plants, planted_on=plot.planted_on, today=on),
        "pace": sentences((*weights, *untold), plot, fruit[0], on, collection),
        "sprays": sprays,
        "free": free,
        "label_unknown": any(spray.label_days is None for spray in running),
        "spray_marks": season.marks(
            ((spray.sprayed_on, spray.pick_from) for spray in sprays), plot.planted_on
        ),
        "coming": coming_days(whole, plot, on, house.catalogue, free_from=free, collection=collection),
        "jobs_shown": _JOBS_SHOWN,
        "past": past_jobs(farmer.reminders(plot.id, _JOBS_SHOWN), house.catalogue),
        "along": season.along,
        "down": season.down,
    }
