"""A weight that a farmer told an officer: entering it, the question about one that may be a slip, taking it back."""

from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from flows.moves.harvests import OLDEST
from flows.plausible import Doubt
from service.clock import local_day
from service.core.errors import Refused
from service.core.model import Plot
from service.core.rights import Permission
from service.db.queries.console_values import FarmerFacts
from service.use_cases.weighing import Told, Unsure, WhyBack, keep_told, take_told_back
from service.web.care.views import the_facts
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("weights", __name__)

_ALL: Final = f"/plots/<int(max={LARGEST_ID}):plot_id>/weights"
_ONE: Final = f"{_ALL}/<int(max={LARGEST_ID}):harvest_id>/back"
_PER_KILO: Final = 1000
_MOST_DECIMALS: Final = 2
_LONGEST_TYPED: Final = 12
_NO_DAY: Final = "Choose the day on which it was picked."
_NO_KILOS: Final = "Write the kilos in figures, like 12.5 or 12,5, with two digits behind the point at most."
DOUBTS: Final = {
    Doubt.ZERO: "Nothing was picked: is that so?",
    Doubt.UNUSUAL: "That is unusual for this plot: is it right?",
    Doubt.SLIP: "That is more than the plants bear: is the point where it belongs?",
    Doubt.UNIT: "That is less than a handful: are these kilos?",
}
WHYS: Final = {
    WhyBack.TYPED_WRONG: "it was typed wrong",
    WhyBack.OTHER_DAY: "it is of another day",
    WhyBack.OTHER_PLOT: "it is of another plot or farmer",
    WhyBack.NOT_PICKED: "it was not picked after all",
}


@pages.get(_ALL)
@needs(Permission.EDIT_PLOT)
def show(plot_id: int) -> Response:
    """Ask for the day and the kilos."""
    return _form(plot_id, "", None, 200)


@pages.post(_ALL)
@needs(Permission.EDIT_PLOT)
def add(plot_id: int) -> AnyResponse:
    """Keep it, or ask once whether it is right."""
    house = the_house()
    now = house.service_clock.now()
    typed = _typed()
    try:
        told = Told(on=_day(typed["on"]), grams=_grams(typed["kilos"]))
        with house.database.work() as work:
            plot, farmer = _plot(work, plot_id)
            keep_told(
                work,
                house.tools,
                the_officer(),
                plot,
                told,
                # A yes belongs to the weight that was asked about, not to one typed over it.
                sure=request.form.get("sure") == f"{told.on} {told.grams}",
                on=local_day(now, farmer.zone),
                now=now,
                real_now=house.real_clock.now(),
            )
    except Unsure as unsure:
        return _form(plot_id, "", (told, unsure), 200)
    except Refused as refusal:
        return _form(plot_id, str(refusal), None, 400)
    return _back_to(farmer, plot, "weight")


@pages.get(_ONE)
@needs(Permission.EDIT_PLOT)
def taking_back(plot_id: int, harvest_id: int) -> str:
    """Ask why."""
    with the_house().database.look() as work:
        plot, farmer = _plot(work, plot_id)
        told = work.harvests.told(plot.id, harvest_id) or abort(404)
    return render_template("care/weight_back.html", plot=plot, farmer=farmer, told=told, whys=WHYS)


@pages.post(_ONE)
@needs(Permission.EDIT_PLOT)
def take_back(plot_id: int, harvest_id: int) -> AnyResponse:
    """Take it back."""
    house = the_house()
    try:
        why = WhyBack(request.form.get("why", ""))
    except ValueError:
        abort(400)
    try:
        with house.database.work() as work:
            plot, farmer = _plot(work, plot_id)
            take_told_back(work, the_officer(), plot, harvest_id, why=why, real_now=house.real_clock.now())
    except Refused:
        abort(404)
    return _back_to(farmer, plot, "weight_back")


def _plot(work: Work, plot_id: int) -> tuple[Plot, FarmerFacts]:
    """Return a plot and its farmer, who lives in one of the officer's districts."""
    plot = work.plots.get(plot_id) or abort(404)
    return plot, the_facts(work, plot.farmer_id)


def _back_to(farmer: FarmerFacts, plot: Plot, kept: str) -> AnyResponse:
    return redirect(url_for("farmers.person", farmer_id=farmer.id, plot=plot.id, kept=kept), code=303)


def _typed() -> dict[str, str]:
    return {name: request.form.get(name, "").strip()[:_LONGEST_TYPED] for name in ("on", "kilos")}


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError as error:
        raise Refused(_NO_DAY) from error


def _grams(typed: str) -> int:
    try:
        kilos = Decimal(typed.replace(",", "."))
    except InvalidOperation as error:
        raise Refused(_NO_KILOS) from error
    if not kilos.is_finite() or kilos < 0 or -int(kilos.as_tuple().exponent) > _MOST_DECIMALS:
        raise Refused(_NO_KILOS)
    return int(kilos * _PER_KILO)


def _form(plot_id: int, note: str, asked: tuple[Told, Unsure] | None, status: int) -> Response:
    house = the_house()
    with house.database.look() as work:
        plot, farmer = _plot(work, plot_id)
    today = local_day(house.service_clock.now(), farmer.zone)
    typed: dict[str, Any] = _typed()
    page = render_template(
        "care/weight.html",
        plot=plot,
        farmer=farmer,
        note=note,
        typed={**typed, "on": typed["on"] or today.isoformat()},
        asked=asked,
        doubts=DOUBTS,
        first=today - OLDEST,
        today=today,
    )
    return make_response(page, status)
