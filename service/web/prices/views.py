"""Prices of markets: what farmers are told, the last ones that were noted, and a form for a new one."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from flows.moves.market import LONGEST_MARKET, MOST_PRICES
from flows.trading import Quoted
from service.clock import local_day
from service.core.errors import Refused
from service.core.model import District
from service.core.money_ports import ListedPrice
from service.core.rights import Permission
from service.use_cases.money import PRICES_HOLD
from service.use_cases.pricing import KNOWN_FOR, Noter, Price, note_price
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("prices", __name__)

_SHOWN: Final = 40
_LARGEST: Final = 12
_NO_PRICE: Final = "Write the price of a kilo in figures, like 2500."
_NO_DAY: Final = "Write the day of the price as day, month and year."


@pages.get("/prices")
@needs(Permission.SEE)
def show() -> Response:
    """Show the prices of a district."""
    with the_house().database.look() as work:
        theirs = _theirs(work)
    wanted = request.args.get("district", type=int)
    if wanted is not None and wanted not in theirs:
        abort(404)
    return _page(theirs, theirs.get(wanted) if wanted else next(iter(theirs.values()), None), "", 200)


@pages.post("/prices")
@needs(Permission.ALERT)
def add() -> AnyResponse:
    """Keep a price that an officer was told."""
    house = the_house()
    with house.database.look() as work:
        theirs = _theirs(work)
    home = theirs.get(request.form.get("district", type=int) or 0) or abort(404)
    noter = Noter(
        officer=the_officer(),
        today=_today(home),
        now=house.service_clock.now(),
        real_now=house.real_clock.now(),
    )
    try:
        told = _typed()
        with house.database.work() as work:
            note_price(work, house.tools, noter, home, told)
    except Refused as refusal:
        return _page(theirs, home, str(refusal), 400)
    return redirect(url_for("prices.show", district=home.id), code=303)


def _theirs(work: Work) -> Mapping[int, District]:
    """Return the officer's districts by their ids."""
    return {one.id: one for one in work.people.districts() if the_officer().covers(one.id)}


def _today(home: District) -> date:
    return local_day(the_house().service_clock.now(), home.zone)


def _typed() -> Price:
    """Return the price as the form says it.

    Raises:
        Refused: it has no price or no day.
    """
    form = request.form
    try:
        kilo = Decimal(form.get("price", "").replace(",", "").replace(" ", "")[:_LARGEST])
    except InvalidOperation:
        raise Refused(_NO_PRICE) from None
    if not kilo.is_finite():
        raise Refused(_NO_PRICE)
    try:
        on = date.fromisoformat(form.get("on", ""))
    except ValueError:
        raise Refused(_NO_DAY) from None
    return Price(
        market=form.get("market", ""),
        crop_class=form.get("class", ""),
        minor=the_house().tools.programme.currency.minor(kilo),
        on=on,
        sure=bool(form.get("sure")),
    )


def _page(theirs: Mapping[int, District], home: District | None, note: str, status: int) -> Response:
    today = _today(home) if home else None
    told: tuple[Quoted, ...] = ()
    listed: tuple[ListedPrice, ...] = ()
    currency = the_house().tools.programme.currency
    if home and today:
        with the_house().database.look() as work:
            told = work.prices.newest([home.id], currency.code, today - PRICES_HOLD)
            listed = work.prices.listed(home.id, today - KNOWN_FOR, _SHOWN)
    typed = {name: request.form.get(name, "") for name in ("market", "class", "price", "on")}
    page = render_template(
        "prices/list.html",
        home=home,
        theirs=theirs,
        told=told[:MOST_PRICES],
        untold=told[MOST_PRICES:],
        listed=listed,
        note=note,
        typed=typed,
        today=today,
        first=today - PRICES_HOLD if today else None,
        currency=currency,
        longest=LONGEST_MARKET,
        markets=sorted({one.market for one in listed}),
    )
    return make_response(page, status)
