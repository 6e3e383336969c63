"""Sales and costs that a farmer told an officer: entering them, and taking them back."""

from collections.abc import Callable
from datetime import date
from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from flows.moves.sales import OLDEST
from flows.trading import CostKind
from service.clock import local_day
from service.core import currencies
from service.core.errors import Refused
from service.core.model import Plot
from service.core.rights import Permission
from service.db.queries.console_values import FarmerFacts
from service.use_cases.money_by_officer import (
    LONGEST_BUYER,
    ToldCost,
    ToldSale,
    count_besides,
    keep_cost,
    keep_sale,
    take_cost_back,
    take_sale_back,
)
from service.use_cases.spraying_by_officer import Deed
from service.web.care.views import the_facts
from service.web.collections.asked import deed_in, grams, typed_day
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import needs

pages = Blueprint("told_money", __name__)

_ALL: Final = f"/plots/<int(max={LARGEST_ID}):plot_id>/money"
_ID: Final = f"<int(max={LARGEST_ID}):row_id>"
_TYPED: Final = ("on", "kilos", "money", "buyer", "besides", "kind")
_KINDS: Final = tuple(str(kind) for kind in CostKind)

_Deed = Callable[[Work, Deed, Plot], None]


@pages.get(_ALL)
@needs(Permission.EDIT_PLOT)
def show(plot_id: int) -> Response:
    """Ask for a sale or a cost."""
    return _page(plot_id, "", 200)


@pages.post(f"{_ALL}/sale")
@needs(Permission.EDIT_PLOT)
def sale(plot_id: int) -> AnyResponse:
    """Keep a sale."""

    def keep(work: Work, deed: Deed, plot: Plot) -> None:
        told = ToldSale(
            on=typed_day(request.form.get("on", ""), "the day of the sale"),
            grams=grams(request.form.get("kilos", "")),
            minor=_minor(),
            buyer=request.form.get("buyer", ""),
            besides=request.form.get("besides") == "1",
        )
        keep_sale(work, the_house().tools, deed, plot, told)

    return _do(plot_id, keep)


@pages.post(f"{_ALL}/cost")
@needs(Permission.EDIT_PLOT)
def cost(plot_id: int) -> AnyResponse:
    """Keep a cost."""

    def keep(work: Work, deed: Deed, plot: Plot) -> None:
        kind = request.form.get("kind", "")
        if kind not in _KINDS:
            raise Refused("Choose what the money was for.")
        on = typed_day(request.form.get("on", ""), "the day of the cost")
        keep_cost(work, the_house().tools, deed, plot, ToldCost(on=on, kind=CostKind(kind), minor=_minor()))

    return _do(plot_id, keep)


@pages.post(f"{_ALL}/sale/{_ID}/back")
@needs(Permission.EDIT_PLOT)
def sale_back(plot_id: int, row_id: int) -> AnyResponse:
    """Take a sale back."""
    return _do(plot_id, lambda work, deed, plot: take_sale_back(work, deed, plot, row_id))


@pages.post(f"{_ALL}/cost/{_ID}/back")
@needs(Permission.EDIT_PLOT)
def cost_back(plot_id: int, row_id: int) -> AnyResponse:
    """Take a cost back."""
    return _do(plot_id, lambda work, deed, plot: take_cost_back(work, deed, plot, row_id))


@pages.post(f"{_ALL}/sale/{_ID}/besides")
@needs(Permission.EDIT_PLOT)
def besides(plot_id: int, row_id: int) -> AnyResponse:
    """Count a sale of a collection's day as other fruit."""
    return _do(plot_id, lambda work, deed, plot: count_besides(work, deed, plot, row_id))


def _do(plot_id: int, do: _Deed) -> AnyResponse:
    with the_house().database.work() as work:
        plot, farmer = _plot(work, plot_id)
        try:
            do(work, deed_in(farmer.zone), plot)
        except Refused as refusal:
            return _page(plot_id, str(refusal), 400)
    there = url_for("farmers.person", farmer_id=farmer.id, plot=plot.id, kept="money", _anchor="money")
    return redirect(there, code=303)


def _plot(work: Work, plot_id: int) -> tuple[Plot, FarmerFacts]:
    """Return a plot and its farmer, who lives in one of the officer's districts."""
    plot = work.plots.get(plot_id) or abort(404)
    return plot, the_facts(work, plot.farmer_id)


def _minor() -> int:
    return currencies.typed(request.form.get("money", ""), the_house().tools.programme.currency.code)


def _page(plot_id: int, note: str, status: int) -> Response:
    house = the_house()
    with house.database.look() as work:
        plot, farmer = _plot(work, plot_id)
    today: date = local_day(house.service_clock.now(), farmer.zone)
    page = render_template(
        "care/money.html",
        plot=plot,
        farmer=farmer,
        note=note,
        typed={name: request.form.get(name, "") for name in _TYPED},
        kinds=_KINDS,
        currency=house.tools.programme.currency,
        longest=LONGEST_BUYER,
        first=today - OLDEST,
        today=today,
    )
    return make_response(page, status)
