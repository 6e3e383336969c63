"""The sprays of a plot: all that were told of, and a form for what an officer was told by voice."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from flows.spraying import FEWEST_DAYS, MOST_DAYS
from service.clock import local_day
from service.core.errors import Refused
from service.core.model import Plot
from service.core.rights import Permission
from service.db.queries.console_farmer import FarmerConsole
from service.db.queries.console_values import FarmerFacts
from service.use_cases.spraying_by_officer import (
    OLDEST,
    Deed,
    complete_spray,
    enter_spray,
    take_spray_back,
)
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("sprays", __name__)

SHOWN: Final = 50
_ALL: Final = f"/plots/<int(max={LARGEST_ID}):plot_id>/sprays"
_ONE: Final = f"{_ALL}/<int(max={LARGEST_ID}):spray_id>"
_NO_DAY: Final = "Write the day of the spray as day, month and year."
_NO_DAYS: Final = "Write the label's days in figures, or leave them out if nobody knows them."


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """A plot before an officer whose it is to edit."""

    plot: Plot
    owner: FarmerConsole
    farmer: FarmerFacts
    deed: Deed


@pages.get(_ALL)
@needs(Permission.EDIT_PLOT)
def show(plot_id: int) -> Response:
    """Show the sprays of a plot."""
    return _page(plot_id, "", 200)


@pages.post(_ALL)
@needs(Permission.EDIT_PLOT)
def enter(plot_id: int) -> AnyResponse:
    """Keep a spray that was told by voice."""

    def do(work: Work, desk: Desk) -> None:
        try:
            sprayed_on = date.fromisoformat(request.form.get("sprayed", ""))
        except ValueError as error:
            raise Refused(_NO_DAY) from error
        tools = the_house().tools
        enter_spray(work, tools, desk.deed, plot_id, sprayed_on=sprayed_on, label_days=_days())

    return _do(plot_id, do)


@pages.post(f"{_ONE}/days")
@needs(Permission.EDIT_PLOT)
def complete(plot_id: int, spray_id: int) -> AnyResponse:
    """Keep the days of a spray's label."""

    def do(work: Work, desk: Desk) -> None:
        if not any(one.id == spray_id for one in desk.owner.sprays(plot_id, SHOWN)):
            abort(404)
        complete_spray(work, the_house().tools, desk.deed, spray_id, _days())

    return _do(plot_id, do)


@pages.post(f"{_ONE}/back")
@needs(Permission.EDIT_PLOT)
def take_back(plot_id: int, spray_id: int) -> AnyResponse:
    """Take a spray back on this plot."""

    def do(work: Work, desk: Desk) -> None:
        kept = next((one for one in work.sprays.alike(spray_id) if one.plot_id == plot_id), None)
        if kept is None and not any(one.id == spray_id for one in desk.owner.sprays(plot_id, SHOWN)):
            abort(404)
        if kept is not None:
            take_spray_back(work, desk.deed, kept)

    return _do(plot_id, do)


def _do(plot_id: int, deed: Callable[[Work, Desk], None]) -> AnyResponse:
    try:
        with the_house().database.work() as work:
            deed(work, _desk(work, plot_id))
    except Refused as refusal:
        return _page(plot_id, str(refusal), 400)
    return redirect(url_for("sprays.show", plot_id=plot_id), code=303)


def _desk(work: Work, plot_id: int) -> Desk:
    """Return the plot if its farmer lives in one of the officer's districts; else it is not there."""
    owner = work.console.within(the_officer().districts).plot_owner(plot_id) or abort(404)
    plot = work.plots.get(plot_id) or abort(404)
    house = the_house()
    now = house.service_clock.now()
    deed = Deed(officer=the_officer(), on=local_day(now, plot.zone), now=now, real_now=house.real_clock.now())
    return Desk(plot=plot, owner=owner, farmer=owner.facts(), deed=deed)


def _days() -> int | None:
    typed = request.form.get("days", "").strip()
    if not typed:
        return None
    if not (typed.isascii() and typed.isdecimal()):
        raise Refused(_NO_DAYS)
    return int(typed)


def _page(plot_id: int, note: str, status: int) -> Response:
    with the_house().database.look() as work:
        desk = _desk(work, plot_id)
        sprays = desk.owner.sprays(plot_id, SHOWN)
    page = render_template(
        "sprays/show.html",
        farmer=desk.farmer,
        plot=desk.plot,
        sprays=sprays,
        note=note,
        typed={name: request.form.get(name, "") for name in ("sprayed", "days")},
        today=desk.deed.on,
        first=desk.deed.on - OLDEST,
        fewest=FEWEST_DAYS,
        most=MOST_DAYS,
        longest=the_house().tools.programme.longest_hold,
    )
    return make_response(page, status)
