"""The wall calendar of a plot, the one whose planting day is written by hand, and the card for the pocket.

The words on paper are the farmer's language; only what leads back to the pages is in the officer's.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Final

from babel.dates import format_date
from flask import Blueprint, abort, render_template, request

from flows.money import per_kilo
from flows.paper_texts import PAPER_WORDS
from flows.wording import FullDate
from service.agronomy.calendar import WEEK
from service.agronomy.due import PlotDays
from service.clock import local_day
from service.core.rights import Permission
from service.use_cases.collecting.shown import usual_days
from service.use_cases.money import costs_by_kind, months_of, year_of
from service.use_cases.planting import default_days, weekdays_of
from service.web.farmers import season
from service.web.farmers.jobs import plot_days
from service.web.farmers.views import LARGEST_ID
from service.web.house import House, the_house
from service.web.paper.almanac import lay_out, months, weeks
from service.web.permissions import needs, the_officer
from service.web.words import LANGUAGES

pages = Blueprint("paper", __name__)

# Whose words name a stage of the season; that of taking root has no job of its own.
_STAGES: Final = {
    "root": "paper.taking_root",
    "off": "task.flowers_off.label",
    "stay": "task.flowers_stay.label",
    "pick": "task.picking.label",
    "renew": "task.renew.label",
}
# Weeks are counted from any day: a sheet without a planting day shows none.
_ANY_DAY: Final = date(2001, 1, 1)


@pages.get(f"/plots/<int(max={LARGEST_ID}):plot_id>/calendar")
@needs(Permission.SEE)
def of_plot(plot_id: int) -> str:
    """Show the months of one plot, from planting to the end, on one sheet."""
    house = the_house()
    with house.database.look() as work:
        owner = work.console.within(the_officer().districts).plot_owner(plot_id) or abort(404)
        farmer = owner.facts()
        plot = next((one for one in owner.plots() if one.id == plot_id), None) or abort(404)
        collection = None if plot.collection_id is None else work.collections.get(plot.collection_id)
    language, calendar = farmer.language, house.tools.calendar_of(plot.calendar_id)
    return render_template(
        "paper/calendar.html",
        farmer=farmer,
        plot=plot,
        language=language,
        say=_sayer(house, language),
        words=PAPER_WORDS,
        planted=house.tools.wording.spoken(FullDate(plot.planted_on), language),
        sheet=lay_out(
            calendar,
            usual_days(plot_days(plot), collection),
            months(plot.planted_on, lambda day: format_date(day, "LLL", locale=language)),
            season.lay_out(calendar.for_bits(plot.traits)),
            labels=_labeller(house, language),
            stages=_stages(house, language),
            mark=lambda day: str(day.day),
            long_mark=lambda day: f"{day.day}/{day.month}",
            elevation_m=plot.elevation_m,
        ),
        number=house.settings.service_number,
        emergency=house.settings.emergency_number,
    )


@pages.get("/calendar")
@needs(Permission.SEE)
def blank() -> str:
    """Show the same by weeks, for a planting day that is written on the sheet by hand."""
    house = the_house()
    language = request.args.get("language", house.settings.language)
    if language not in LANGUAGES:
        abort(404)
    days = default_days(_ANY_DAY)
    stand = PlotDays(
        planted_on=_ANY_DAY,
        text_day=days["text_day"],
        picking_text_day=days["picking_text_day"],
        prompt_days=weekdays_of(days["prompt_days"]),
    )
    return render_template(
        "paper/calendar.html",
        farmer=None,
        plot=None,
        language=language,
        languages=LANGUAGES,
        say=_sayer(house, language),
        words=PAPER_WORDS,
        sheet=lay_out(
            house.calendar,
            stand,
            weeks(_ANY_DAY),
            season.lay_out(house.calendar),
            labels=_labeller(house, language),
            stages=_stages(house, language),
            mark=_week,
            long_mark=_week,
        ),
        number=house.settings.service_number,
        emergency=house.settings.emergency_number,
    )


@pages.get(f"/farmers/<int(max={LARGEST_ID}):farmer_id>/year")
@needs(Permission.SEE)
def year(farmer_id: int) -> str:
    """Show twelve months of a farmer on one sheet, to be stamped: kilos and money by what was told."""
    house = the_house()
    currency = house.tools.programme.currency
    with house.database.look() as work:
        farmer = work.console.within(the_officer().districts).farmer(farmer_id) or abort(404)
        facts = farmer.facts()
        on = local_day(house.service_clock.now(), facts.zone)
        plots = work.plots.of_farmer(farmer_id)
        told = year_of(work, plots, currency, on)
        months_told = months_of(work, plots, currency, on)
        costs = costs_by_kind(work, plots, currency, on)
    language = facts.language
    return render_template(
        "paper/year.html",
        farmer=facts,
        language=language,
        say=_sayer(house, language),
        told=told,
        rows=[(format_date(one.first, "LLLL y", locale=language), one) for one in months_told],
        costs=[
            (house.catalogue.render(f"cost.{kind}", language, {}), minor) for kind, minor in costs.items()
        ],
        kilo=per_kilo(told.money_in, told.sold) if told.sold else None,
        currency=currency,
        printed=house.tools.wording.spoken(FullDate(on), language),
    )


@pages.get("/card")
@needs(Permission.SEE)
def card() -> str:
    """Show the card for the pocket: the words to text and whom to call, one face for each language."""
    house = the_house()
    return render_template(
        "paper/card.html",
        faces={language: _sayer(house, language) for language in LANGUAGES},
        words=PAPER_WORDS,
        number=house.settings.service_number,
        emergency=house.settings.emergency_number,
    )


def _week(day: date) -> str:
    """Return the week since planting, the first being 1; weeks before planting are negative."""
    week = (day - _ANY_DAY).days // WEEK
    return str(week + 1 if week >= 0 else week)


def _sayer(house: House, language: str) -> Callable[..., str]:
    def say(text_id: str, **values: str) -> str:
        given: Mapping[str, str] = values
        return house.catalogue.render(f"paper.{text_id}", language, given)

    return say


def _labeller(house: House, language: str) -> Callable[[str], str]:
    def label(task: str) -> str:
        try:
            return house.catalogue.render(f"task.{task}.label", language, {})
        except LookupError:
            return task.replace("_", " ").capitalize()

    return label


def _stages(house: House, language: str) -> Callable[[str], str]:
    return lambda key: house.catalogue.render(_STAGES[key], language, {})
