"""A farmer's changed number: it is asked first, and the asking can be taken back."""

from typing import Final

from flask import Blueprint, Response, make_response, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service.core.errors import Refused
from service.core.inviting import NumberKnown
from service.core.phone import BadNumber, read_number, spaced
from service.core.rights import Permission
from service.use_cases.calling import show_number
from service.use_cases.changing_numbers import ask_number, take_number_back
from service.web.care.views import do, the_facts
from service.web.farmers.views import LARGEST_ID
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer
from service.web.register.known import known_page

pages = Blueprint("numbers", __name__)

_ONE: Final = f"/farmers/<int(max={LARGEST_ID}):farmer_id>/number"
_LONGEST_TYPED: Final = 40


@pages.get(_ONE)
@needs(Permission.EDIT_FARMER)
def show(farmer_id: int) -> Response:
    """Ask for the new number."""
    return _form(farmer_id, "", 200)


@pages.post(_ONE)
@needs(Permission.EDIT_FARMER)
def ask(farmer_id: int) -> AnyResponse:
    """Ask the new number by text; one that is known already is shown with who has it."""
    if "back" in request.form:
        return _form(farmer_id, "", 200)
    house = the_house()
    gone = request.form.get("gone") == "yes"

    def deed(work: Work) -> None:
        ask_number(
            work,
            house.tools,
            the_officer(),
            farmer_id,
            read_number(_typed(), house.settings.region),
            sharing=request.form.get("sharing") == "yes",
            old_is_gone=gone,
            now=house.service_clock.now(),
            real_now=house.real_clock.now(),
        )

    try:
        return do(farmer_id, deed, "number_gone" if gone else "number")
    except NumberKnown as known:
        with house.database.look() as work:
            farmer = the_facts(work, farmer_id)
        return known_page(
            known.phone_id,
            name=farmer.name,
            action=request.path,
            fields={"number": _typed(), "gone": "yes" if gone else ""},
            go_on=f"Ask it all the same: {farmer.name} shares that phone",
        )
    except (Refused, BadNumber) as refusal:
        return _form(farmer_id, str(refusal), 400)


@pages.post(f"{_ONE}/back")
@needs(Permission.EDIT_FARMER)
def take_back(farmer_id: int) -> AnyResponse:
    """Undo a change that waits for its yes."""
    house = the_house()

    def deed(work: Work) -> None:
        now, real_now = house.service_clock.now(), house.real_clock.now()
        take_number_back(work, the_officer(), farmer_id, now=now, real_now=real_now)

    return do(farmer_id, deed, "number_back")


@pages.post(f"{_ONE}/show")
@needs(Permission.ANSWER)
def reveal(farmer_id: int) -> str:
    """Show the number that reaches a farmer; it stands in no address, and that it was shown is kept."""
    house = the_house()
    with house.database.work() as work:
        farmer = the_facts(work, farmer_id)
        found = show_number(work, the_officer(), farmer_id, real_now=house.real_clock.now())
    return render_template(
        "care/call.html",
        farmer=farmer,
        number=found,
        spaced=spaced(found) if found else None,
        back=url_for("silent.index") if request.form.get("from") == "silent" else None,
    )


def _typed() -> str:
    return request.form.get("number", "").strip()[:_LONGEST_TYPED]


def _form(farmer_id: int, note: str, status: int) -> Response:
    with the_house().database.look() as work:
        farmer = the_facts(work, farmer_id)
    page = render_template(
        "care/number.html",
        farmer=farmer,
        note=note,
        typed=_typed(),
        gone=request.form.get("gone") == "yes",
    )
    return make_response(page, status)
