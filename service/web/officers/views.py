"""Officers as an administrator sees them, and a fresh one-time code for one who is locked out."""

from collections.abc import Iterable
from datetime import datetime
from hashlib import sha256

from flask import Blueprint, Response, abort, make_response, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from service import ids
from service.core.rights import Permission
from service.use_cases.officers import reset_officer
from service.web.farmers.views import LARGEST_ID
from service.web.house import the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("officers", __name__)


@pages.get("/officers")
@needs(Permission.ADMINISTER)
def index() -> Response:
    """Show who there is."""
    return _page()


@pages.post(f"/officers/<int(max={LARGEST_ID}):officer_id>/new-way-in")
@needs(Permission.ADMINISTER)
def reset(officer_id: int) -> AnyResponse:
    """Take password and second factor from an officer and show a one-time code, this once; never one's own.

    The form brings back which codes the officer had. Sent again by a browser that loads the page anew, it makes no
    second code: the first may have been read out by phone meanwhile.
    """
    house, me = the_house(), the_officer()
    if officer_id == me.id:
        abort(409, "This is your own account: change your password and second factor on its page.")
    code = ids.one_time_code()
    with house.database.work() as work:
        named = next((one for one in work.staff.officers() if one.id == officer_id), None) or abort(404)
        codes = work.logins.codes()
        again = request.form.get("codes") != _word(codes, officer_id)
        if not again:
            reset_officer(work, named.name, code=code, now=house.real_clock.now(), by=me)
    if again:
        made = (at for owner, at, _ in codes if owner == officer_id)
        return _page(helped=named.name, stands=max(made, default=house.real_clock.now()))
    return _page(helped=named.name, code=code)


def _word(codes: Iterable[tuple[int, datetime, bytes]], officer_id: int) -> str:
    """Return a word that changes with an officer's codes, and tells nothing of them."""
    return sha256(b"".join(sorted(digest for owner, _, digest in codes if owner == officer_id))).hexdigest()


def _page(*, helped: str = "", code: str = "", stands: datetime | None = None) -> Response:
    house = the_house()
    with house.database.look() as work:
        codes = work.logins.codes()
        officers = work.staff.officers()
        names = {one.id: one.name for one in work.people.districts()}
    page = render_template(
        "officers/list.html",
        officers=officers,
        names=names,
        helped=helped,
        code=code,
        codes={one.id: _word(codes, one.id) for one in officers},
        stands=stands,
        zone=house.settings.zone,
        me=the_officer(),
    )
    answer = make_response(page, 200 if stands is None else 409)
    # The code stands in no store a browser keeps.
    answer.headers["Cache-Control"] = "no-store"
    return answer
