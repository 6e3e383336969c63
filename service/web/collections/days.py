"""The collections of an officer's districts with their coming days, and the form with which one is set."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from flows.collection_texts import EARLIEST, LATEST
from service.clock import local_day
from service.core.collecting import Collection
from service.core.errors import Refused
from service.core.rights import Permission
from service.db.queries.collection_lists import Announced
from service.db.queries.days_told import Came
from service.use_cases.collecting.arranging import (
    LONGEST_PLACE,
    Plan,
    amend,
    change_day,
    keep_day,
    set_up,
)
from service.web.collections.asked import ALL, DAY, ONE, deed_in, the_collection, the_day, typed_day
from service.web.collections.clerk import day_page
from service.web.house import the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("collections", __name__)

_BACK: Final = timedelta(days=14)
_AHEAD: Final = timedelta(days=14)
_FIELDS: Final = ("group", "place", "hour", "first", "last")


@dataclass(frozen=True, kw_only=True, slots=True)
class Listed:
    """One day of a collection in the list; `moved_to` is set where it is held on another, `came` where anything has."""

    day: date
    is_on: bool
    moved_to: date | None
    said: Announced
    came: Came | None
    asked: int


@pages.get(ALL)
@needs(Permission.COLLECT)
def index() -> str:
    """Show the collections that are or will be, each with its days around today."""
    house, officer = the_house(), the_officer()
    today = local_day(house.service_clock.now(), house.settings.zone)
    with house.database.look() as work:
        collections = [
            one
            for one in work.collections.in_districts(officer.districts)
            if one.last_on is None or one.last_on >= today - _BACK
        ]
        said = work.collection_lists.announced(collections, today - _BACK, today + _AHEAD)
        came = work.days_told.came(collections, today - _BACK, today)
        asked = work.days_told.asked(collections, today - _BACK, today + _AHEAD)
    listed = [
        (
            one,
            [
                Listed(
                    day=day,
                    is_on=one.is_on(day),
                    moved_to=one.changes.get(day),
                    said=said.get((one.id, day), Announced()),
                    came=came.get((one.id, day)),
                    asked=asked.get((one.id, day), 0),
                )
                for day in _days_around(one, today)
            ],
        )
        for one in collections
    ]
    return render_template(
        "collections/list.html",
        listed=listed,
        today=today,
        may_arrange=officer.may(Permission.ARRANGE),
        may_pay=officer.may(Permission.PAY),
    )


def _days_around(one: Collection, today: date) -> list[date]:
    every = (today - _BACK + timedelta(days=step) for step in range((_BACK + _AHEAD).days + 1))
    return [day for day in every if one.is_on(day) or one.is_planned(day)]


@pages.get(f"{ALL}/new")
@needs(Permission.ARRANGE)
def new() -> Response:
    """Show the form for a new collection."""
    return _form(None, "", 200)


@pages.post(f"{ALL}/new")
@needs(Permission.ARRANGE)
def add() -> AnyResponse:
    """Set a collection."""
    try:
        with the_house().database.work() as work:
            groups = {one.id: one for one in work.places.groups(the_officer().districts)}
            group = groups.get(request.form.get("group", 0, type=int)) or abort(404)
            zone = next(one.zone for one in work.people.districts() if one.id == group.district_id)
            set_up(work, the_house().tools, deed_in(zone), group.id, _plan())
    except Refused as refusal:
        return _form(None, str(refusal), 400)
    return redirect(url_for("collections.index"), code=303)


@pages.get(f"{ONE}/edit")
@needs(Permission.ARRANGE)
def edit(collection_id: int) -> Response:
    """Show the form with how a collection is."""
    with the_house().database.look() as work:
        collection = the_collection(work, collection_id)
    return _form(collection, "", 200)


@pages.post(f"{ONE}/edit")
@needs(Permission.ARRANGE)
def change(collection_id: int) -> AnyResponse:
    """Give a collection another place, hour, weekdays or end."""
    with the_house().database.look() as work:
        collection = the_collection(work, collection_id)
    try:
        with the_house().database.work() as work:
            amend(work, the_house().tools, deed_in(collection.zone), collection, _plan())
    except Refused as refusal:
        return _form(collection, str(refusal), 400)
    return redirect(url_for("collections.index"), code=303)


@pages.post(f"{DAY}/off")
@needs(Permission.ARRANGE)
def call_off(collection_id: int, day: str) -> AnyResponse:
    """Call a day off, or move it; farmers are told."""
    try:
        with the_house().database.work() as work:
            collection = the_collection(work, collection_id)
            typed = request.form.get("moved_to", "")
            moved_to = typed_day(typed, "the other day") if typed.strip() else None
            deed = deed_in(collection.zone)
            change_day(work, the_house().tools, deed, collection, the_day(day), moved_to=moved_to)
    except Refused as refusal:
        return day_page(collection_id, the_day(day), str(refusal), 400)
    return redirect(url_for("collections.index"), code=303)


@pages.post(f"{DAY}/on")
@needs(Permission.ARRANGE)
def keep(collection_id: int, day: str) -> AnyResponse:
    """Let a day take place as planned after all; farmers are told."""
    try:
        with the_house().database.work() as work:
            collection = the_collection(work, collection_id)
            keep_day(work, the_house().tools, deed_in(collection.zone), collection, the_day(day))
    except Refused as refusal:
        return day_page(collection_id, the_day(day), str(refusal), 400)
    return redirect(url_for("collections.index"), code=303)


def _plan() -> Plan:
    """Return the plan that was typed.

    Raises:
        Refused: a field cannot be read.
    """
    form = request.form
    last = form.get("last", "")
    return Plan(
        place=form.get("place", ""),
        weekdays=frozenset(day for day in range(7) if form.get(f"day_{day}")),
        hour=form.get("hour", -1, type=int),
        first_on=typed_day(form.get("first", ""), "the first day"),
        last_on=typed_day(last, "the last day") if last.strip() else None,
    )


def _form(collection: Collection | None, note: str, status: int) -> Response:
    house = the_house()
    today = local_day(house.service_clock.now(), house.settings.zone)
    with house.database.look() as work:
        groups = work.places.groups(the_officer().districts)
    page = render_template(
        "collections/edit.html",
        collection=collection,
        groups=groups,
        typed=_typed(collection, today),
        chosen=_chosen(collection),
        hours=range(EARLIEST, LATEST + 1),
        longest=LONGEST_PLACE,
        note=note,
    )
    return make_response(page, status)


def _typed(collection: Collection | None, today: date) -> dict[str, str]:
    if request.method == "POST":
        return {name: request.form.get(name, "") for name in _FIELDS}
    if collection is None:
        return {"group": "", "place": "", "hour": "10", "first": today.isoformat(), "last": ""}
    return {
        "group": str(collection.group_id),
        "place": collection.place,
        "hour": str(collection.hour),
        "first": collection.first_on.isoformat(),
        "last": collection.last_on.isoformat() if collection.last_on else "",
    }


def _chosen(collection: Collection | None) -> frozenset[int]:
    if request.method == "POST":
        return frozenset(day for day in range(7) if request.form.get(f"day_{day}"))
    return collection.weekdays if collection else frozenset()
