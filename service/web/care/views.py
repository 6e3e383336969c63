"""What officers change of a farmer, on the farmer's word: each page says what follows before it is done."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any, Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from flows.moves.joining import LONGEST_NAME
from flows.moves.wishes import LONGEST_PAUSE, PAUSE
from flows.wording import Name
from service.clock import local_day
from service.core.changing import Person
from service.core.errors import Refused
from service.core.rights import Permission
from service.db.queries.console_values import FarmerFacts
from service.use_cases.changing_farmers import change_farmer, person_word
from service.use_cases.names_in_texts import told_of_name
from service.use_cases.resting import pause_farmer, resume_farmer, stop_farmer, take_stop_back
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer
from service.web.words import AS_WRITTEN, LANGUAGES

pages = Blueprint("care", __name__)

_ONE: Final = f"/farmers/<int(max={LARGEST_ID}):farmer_id>"
_NO_DAY: Final = "Write the day until which texts rest as day, month and year."


@pages.get(f"{_ONE}/edit")
@needs(Permission.EDIT_FARMER)
def edit(farmer_id: int) -> Response:
    """Show the form with who the farmer is."""
    with the_house().database.look() as work:
        the_facts(work, farmer_id)
        standing = work.changing.standing(farmer_id) or abort(404)
    return _edit_form(farmer_id, standing.person, person_word(standing.person), "", 200)


@pages.post(f"{_ONE}/edit")
@needs(Permission.EDIT_FARMER)
def change(farmer_id: int) -> AnyResponse:
    """Keep who the farmer is."""
    house, seen = the_house(), request.form.get("seen", "")
    wanted = Person(
        name=" ".join(request.form.get("name", "")[: 2 * LONGEST_NAME].split()),
        language=request.form.get("language", ""),
        district_id=_id("district") or 0,
        village_id=_id("village"),
        group_id=_id("group"),
    )

    def deed(work: Work) -> None:
        now = house.real_clock.now()
        change_farmer(work, house.tools, the_officer(), farmer_id, wanted, seen=seen, real_now=now)

    told = _told_of_name(farmer_id, wanted.name)
    if told and request.form.get("written") != wanted.name:
        return _edit_form(farmer_id, wanted, seen, told, 400)
    try:
        return do(farmer_id, deed, "person")
    except Refused as refusal:
        return _edit_form(farmer_id, wanted, seen, str(refusal), 400)


@pages.get(f"{_ONE}/pause")
@needs(Permission.EDIT_FARMER)
def pausing(farmer_id: int) -> Response:
    """Ask until when texts rest."""
    return _pause_form(farmer_id, "", 200)


@pages.post(f"{_ONE}/pause")
@needs(Permission.EDIT_FARMER)
def pause(farmer_id: int) -> AnyResponse:
    """Let texts rest until the day that was chosen."""

    def deed(work: Work) -> None:
        try:
            until = date.fromisoformat(request.form.get("until", ""))
        except ValueError as error:
            raise Refused(_NO_DAY) from error
        pause_farmer(work, the_officer(), farmer_id, until, **_clocks())

    try:
        return do(farmer_id, deed, "paused")
    except Refused as refusal:
        return _pause_form(farmer_id, str(refusal), 400)


@pages.post(f"{_ONE}/resume")
@needs(Permission.EDIT_FARMER)
def resume(farmer_id: int) -> AnyResponse:
    """End a pause."""
    tools = the_house().tools
    return do(
        farmer_id,
        lambda work: resume_farmer(work, tools, the_officer(), farmer_id, **_clocks()),
        "resumed",
    )


@pages.get(f"{_ONE}/stop")
@needs(Permission.EDIT_FARMER)
def stopping(farmer_id: int) -> Response:
    """Say what follows from a stop."""
    return _stop_form(farmer_id, "", 200)


@pages.post(f"{_ONE}/stop")
@needs(Permission.EDIT_FARMER)
def stop(farmer_id: int) -> AnyResponse:
    """End all texts to the farmer."""
    tools = the_house().tools
    try:
        return do(
            farmer_id,
            lambda work: stop_farmer(work, tools, the_officer(), farmer_id, **_clocks()),
            "stopped",
        )
    except Refused as refusal:
        return _stop_form(farmer_id, str(refusal), 400)


@pages.post(f"{_ONE}/stop/back")
@needs(Permission.EDIT_FARMER)
def stop_back(farmer_id: int) -> AnyResponse:
    """Undo a stop that was a slip."""
    tools = the_house().tools
    try:
        return do(
            farmer_id,
            lambda work: take_stop_back(work, tools, the_officer(), farmer_id, **_clocks()),
            "stop_back",
        )
    except Refused as refusal:
        abort(409, str(refusal))


def the_facts(work: Work, farmer_id: int) -> FarmerFacts:
    """Return what is known of a farmer who lives in one of the officer's districts; else there is none."""
    found = work.console.within(the_officer().districts).farmer(farmer_id) or abort(404)
    return found.facts()


def do(farmer_id: int, deed: Callable[[Work], None], kept: str) -> AnyResponse:
    """Do something for a farmer who is the officer's to care for, and lead back to the page, which says so.

    Raises:
        Refused: what was asked may not be done.
    """
    with the_house().database.work() as work:
        the_facts(work, farmer_id)
        deed(work)
    return redirect(url_for("farmers.person", farmer_id=farmer_id, kept=kept), code=303)


def _clocks() -> dict[str, Any]:
    house = the_house()
    return {"now": house.service_clock.now(), "real_now": house.real_clock.now()}


def _id(field: str) -> int | None:
    word = request.form.get(field, "")
    return min(int(word), LARGEST_ID) if word.isascii() and word.isdecimal() else None


def _told_of_name(farmer_id: int, name: str) -> str:
    """Return what is to be known of a new name before it is kept; of one that stays there is nothing to say."""
    with the_house().database.look() as work:
        stays = the_facts(work, farmer_id).name == name
    return "" if stays else told_of_name(name, lambda one: str(Name(one)), then=AS_WRITTEN)


def _edit_form(farmer_id: int, typed: Person, seen: str, note: str, status: int) -> Response:
    officer = the_officer()
    with the_house().database.look() as work:
        page = render_template(
            "care/edit.html",
            farmer=the_facts(work, farmer_id),
            typed=typed,
            seen=seen,
            note=note,
            districts=[one for one in work.people.districts() if officer.covers(one.id)],
            villages=work.places.villages(officer.districts),
            groups=work.places.groups(officer.districts),
            languages=LANGUAGES,
            longest=LONGEST_NAME,
            written=typed.name if note else "",
        )
    return make_response(page, status)


def _pause_form(farmer_id: int, note: str, status: int) -> Response:
    house = the_house()
    with house.database.look() as work:
        farmer = the_facts(work, farmer_id)
    today = local_day(house.service_clock.now(), farmer.zone)
    page = render_template(
        "care/pause.html",
        farmer=farmer,
        note=note,
        typed=request.form.get("until") or (today + PAUSE).isoformat(),
        first=today + timedelta(days=1),
        last=today + LONGEST_PAUSE,
    )
    return make_response(page, status)


def _stop_form(farmer_id: int, note: str, status: int) -> Response:
    with the_house().database.look() as work:
        page = render_template("care/stop.html", farmer=the_facts(work, farmer_id), note=note)
    return make_response(page, status)
