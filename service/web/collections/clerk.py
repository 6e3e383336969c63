"""The clerk's page: one day of a collection, what is expected, and what each farmer brings."""

from datetime import date, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service.core import currencies
from service.core.collecting import WhyRejected
from service.core.collection_ports import DeliveryText
from service.core.errors import Refused, Unsure
from service.core.rights import Permission
from service.db.queries.collection_lists import Announced
from service.use_cases.collecting.delivering import LONGEST_WORDS, Brought, enter, take_back
from service.use_cases.collecting.expecting import expect
from service.use_cases.collecting.following import bears
from service.use_cases.hours import next_allowed
from service.web.collections.asked import DAY, REASONS, deed_in, grams, the_collection, the_day
from service.web.farmers.views import LARGEST_ID
from service.web.forecast.drawing import about
from service.web.house import the_house
from service.web.permissions import needs, the_officer
from service.web.words import short_day

pages = Blueprint("clerk", __name__)

_TYPED: Final = ("accepted", "rejected", "reason", "words", "price")


@pages.get(DAY)
@needs(Permission.COLLECT)
def show(collection_id: int, day: str) -> Response:
    """Show who comes on a day, and what they bring."""
    return day_page(collection_id, the_day(day), "", 200)


@pages.post(f"{DAY}/<int(max={LARGEST_ID}):farmer_id>")
@needs(Permission.COLLECT)
def bring(collection_id: int, day: str, farmer_id: int) -> AnyResponse:
    """Keep what a farmer brought."""
    on, house = the_day(day), the_house()
    try:
        with house.database.work() as work:
            collection = the_collection(work, collection_id)
            if not any(one.farmer_id == farmer_id for one in work.collection_lists.bringing(collection, on)):
                abort(404)
            brought = _brought(work.deliveries.last_price(collection.id))
            enter(
                work,
                house.tools,
                deed_in(collection.zone),
                collection,
                on,
                farmer_id=farmer_id,
                brought=brought,
                sure=_sure(request.form.get("sure", "")),
            )
    except Unsure as question:
        asked = f"{brought.accepted_g}+{brought.rejected_g}"
        return day_page(collection_id, on, str(question), 409, at=farmer_id, asked=asked)
    except Refused as refusal:
        return day_page(collection_id, on, str(refusal), 400, at=farmer_id)
    return redirect(_at(collection_id, day, farmer_id), code=303)


@pages.post(f"{DAY}/<int(max={LARGEST_ID}):farmer_id>/back")
@needs(Permission.COLLECT)
def back(collection_id: int, day: str, farmer_id: int) -> AnyResponse:
    """Take back what was entered for a farmer."""
    on, house = the_day(day), the_house()
    try:
        with house.database.work() as work:
            collection = the_collection(work, collection_id)
            brought = work.deliveries.of(collection.id, on, farmer_id)
            if brought is not None:
                take_back(work, house.tools, deed_in(collection.zone), collection, brought)
    except Refused as refusal:
        return day_page(collection_id, on, str(refusal), 400, at=farmer_id)
    return redirect(_at(collection_id, day, farmer_id), code=303)


def _at(collection_id: int, day: str, farmer_id: int) -> str:
    return url_for("clerk.show", collection_id=collection_id, day=day, _anchor=f"farmer-{farmer_id}")


def _sure(typed: str) -> tuple[int, int] | None:
    """Return the grams that the button says are right: of others it says nothing."""
    accepted, _, rejected = typed.partition("+")
    return (int(accepted), int(rejected)) if accepted.isdecimal() and rejected.isdecimal() else None


def _brought(last_price: int | None) -> Brought:
    """Return what was typed; a price left empty is the last one.

    Raises:
        Refused: a field cannot be read.
    """
    form, currency = request.form, the_house().tools.programme.currency.code
    reason, price = form.get("reason", ""), form.get("price", "").strip()
    return Brought(
        accepted_g=grams(form.get("accepted", "")),
        rejected_g=grams(form.get("rejected", "")),
        reason=WhyRejected(reason) if reason in REASONS else None,
        words=form.get("words", ""),
        price=currencies.typed(price, currency) if price else last_price or 0,
    )


def _told(text: DeliveryText | None, today: date) -> str:
    """Return when a farmer is or was texted what came."""
    if text is None:
        return "Gets no text of it: say it at the scales."
    if not text.waits:
        return "The text has left."
    leaves = next_allowed(text.not_before, text.zone).astimezone(ZoneInfo(text.zone))
    day = "" if leaves.date() == today else f" on {short_day(leaves.date(), today)}"
    return f"The text leaves at {leaves:%H:%M}{day}."


def day_page(
    collection_id: int, day: date, note: str, status: int, *, at: int | None = None, asked: str = ""
) -> Response:
    """Return the page; `at` is the farmer whose form comes back with the note, `asked` the grams it asks about."""
    house = the_house()
    currency = house.tools.programme.currency.code
    with house.database.look() as work:
        collection = the_collection(work, collection_id)
        if not collection.is_on(day) and not collection.is_planned(day):
            abort(404)
        deed = deed_in(collection.zone)
        rows = work.collection_lists.bringing(collection, day)
        price = work.deliveries.last_price(collection.id)
        forecast = expect(work, work.fields, house.tools, collection, day=day, today=deed.on)
        bearing = {
            plot.farmer_id
            for plot in work.collections.plots(collection.id)
            if bears(house.tools.calendar, plot, day - timedelta(days=1))
        }
        texts = work.delivery_texts.last(collection.id, day, [one.farmer_id for one in rows])
    brought = [one.brought for one in rows if one.brought]
    page = render_template(
        "collections/day.html",
        collection=collection,
        day=day,
        today=deed.on,
        rows=rows,
        said=Announced.of([one.expected_g for one in rows if one.expected_g is not None]),
        not_said=sum(one.expected_g is None and one.farmer_id in bearing for one in rows),
        bearing=bearing,
        forecast=forecast,
        about=about,
        accepted=sum(one.accepted_g for one in brought),
        rejected=sum(one.rejected_g for one in brought),
        came=len(brought),
        price="" if price is None else currencies.plain(price, currency),
        currency=currency,
        written=currencies.written,
        plain=currencies.plain,
        reasons=REASONS,
        longest=LONGEST_WORDS,
        may_arrange=the_officer().may(Permission.ARRANGE),
        told_of={
            one.farmer_id: _told(texts.get(one.farmer_id), deed.on)
            for one in rows
            if one.brought or one.farmer_id in texts
        },
        minutes=house.tools.programme.delivery_wait,
        note=note,
        at=at,
        asked=asked,
        typed={name: request.form.get(name, "") for name in _TYPED},
    )
    return make_response(page, status)
