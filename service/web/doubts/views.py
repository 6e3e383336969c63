"""Texts in doubt, with what can be done about each."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Final

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.core.errors import Refused
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases import doubts
from service.use_cases.sending import goes_again
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("doubts", __name__)

_SHOWN: Final = 100
_LARGEST_ID: Final = 2**63 - 1
_DECISIONS: Final[dict[str, Callable[[Work, Officer, tuple[date, int], datetime], None]]] = {
    "again": doubts.send_again,
    "leave": doubts.leave,
}


@pages.get("/doubts")
@needs(Permission.ALERT)
def index() -> str:
    """List the texts in doubt of the officer's districts."""
    return _page()


def _page(wrong: str | None = None) -> str:
    house, officer = the_house(), the_officer()
    now = house.service_clock.now()
    with house.database.look() as work:
        waiting = work.doubts.lines(officer.districts, looked_at=False, limit=_SHOWN)
        left = work.doubts.lines(officer.districts, looked_at=True, limit=_SHOWN)
        total = work.doubts.count(officer.districts, looked_at=False)
    return render_template(
        "doubts/list.html",
        waiting=waiting,
        left=left,
        total=total,
        again={one.key for one in (*waiting, *left) if goes_again(one, now)},
        now=now,
        wrong=wrong,
    )


@pages.post(f"/doubts/<day>/<int(max={_LARGEST_ID}):message_id>")
@needs(Permission.ALERT)
def decide(day: str, message_id: int) -> Response | tuple[str, int]:
    """Send one again, or let it be."""
    house = the_house()
    decision = _DECISIONS.get(request.form.get("do", ""))
    if decision is None:
        abort(400)
    try:
        key = (date.fromisoformat(day), message_id)
    except ValueError:
        abort(404)
    try:
        with house.database.work() as work:
            decision(work, the_officer(), key, house.service_clock.now())
    except doubts.NoDoubt:
        abort(404)
    except Refused as refusal:
        return _page(wrong=str(refusal)), 400
    return redirect(url_for("doubts.index"), code=303)
