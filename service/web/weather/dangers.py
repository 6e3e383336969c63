"""The buttons under a danger on Today: make the draft of an alert of it, or leave it at that."""

from typing import Final

from flask import Blueprint, abort, redirect, render_template, url_for
from werkzeug.wrappers import Response

from service.core.danger_ports import Danger
from service.core.errors import Refused
from service.core.rights import Permission
from service.use_cases.weather import settling
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("dangers", __name__)

_LARGEST_ID: Final = 2**63 - 1
_ONE: Final = f"/dangers/<int(max={_LARGEST_ID}):danger_id>"


@pages.app_template_test("worded")
def _worded(danger: Danger) -> bool:
    """Tell whether there is a pre-approved text for a danger."""
    return settling.has_text(danger)


def waiting(work: Work) -> tuple[Danger, ...]:
    """Return the dangers that wait for the officer, the gravest first; none for one who may not warn."""
    house, officer = the_house(), the_officer()
    if not officer.may(Permission.ALERT):
        return ()
    there = settling.waiting(work.dangers, officer.districts, house.tools, house.service_clock.now())
    return tuple(sorted(there, key=lambda one: -one.level))


def left_at_that(work: Work) -> tuple[Danger, ...]:
    """Return the dangers to come that somebody has left at that, the next ones first; none for one who may not warn."""
    house, officer = the_house(), the_officer()
    if not officer.may(Permission.ALERT):
        return ()
    return settling.left_at_that(work.dangers, officer.districts, house.tools, house.service_clock.now())


@pages.post(f"{_ONE}/write")
@needs(Permission.ALERT)
def write(danger_id: int) -> Response | tuple[str, int]:
    """Make the draft of an alert of it, and show that."""
    house = the_house()
    try:
        with house.database.work() as work:
            alert = settling.write_alert(
                work, house.tools, the_officer(), danger_id, now=house.service_clock.now()
            )
    except settling.NoDanger:
        abort(404)
    except Refused as refusal:
        return render_template("weather/refused.html", wrong=str(refusal)), 400
    return redirect(url_for("alerts.show", alert_id=alert.id), code=303)


@pages.post(f"{_ONE}/leave")
@needs(Permission.ALERT)
def leave(danger_id: int) -> Response:
    """Leave it at that, and show Today."""
    house = the_house()
    try:
        with house.database.work() as work:
            settling.leave(work, the_officer(), danger_id, now=house.service_clock.now())
    except settling.NoDanger:
        abort(404)
    return redirect("/", code=303)
