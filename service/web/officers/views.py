"""Officers as an administrator sees them, and a fresh one-time code for one who is locked out."""

from flask import Blueprint, Response, abort, make_response, render_template
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
    """Take password and second factor from an officer and show a one-time code, this once; never one's own."""
    house, me = the_house(), the_officer()
    if officer_id == me.id:
        abort(409, "This is your own account: change your password and second factor on its page.")
    code = ids.one_time_code()
    with house.database.work() as work:
        named = next((one for one in work.staff.officers() if one.id == officer_id), None) or abort(404)
        reset_officer(work, named.name, code=code, now=house.real_clock.now(), by=me)
    return _page(helped=named.name, code=code)


def _page(*, helped: str = "", code: str = "") -> Response:
    with the_house().database.look() as work:
        officers = work.staff.officers()
        names = {one.id: one.name for one in work.people.districts()}
    page = render_template(
        "officers/list.html",
        officers=officers,
        names=names,
        helped=helped,
        code=code,
        me=the_officer(),
    )
    answer = make_response(page)
    # The code stands in no store a browser keeps.
    answer.headers["Cache-Control"] = "no-store"
    return answer
