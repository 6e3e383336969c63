"""The clock of a demo: its face, and the buttons that move it."""

from zoneinfo import ZoneInfo

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.core.rights import Permission
from service.use_cases.demo_clock import HOUR, STEPS, hours_left, wish
from service.web.house import the_house
from service.web.permissions import needs

pages = Blueprint("clock", __name__)


@pages.before_request
def _demo_only() -> None:
    if not the_house().settings.demo:
        abort(404)


@pages.get("/clock")
@needs(Permission.ADMINISTER)
def show() -> str:
    """Show service time and the buttons that move it."""
    return render_template("clock/show.html", **_face())


@pages.get("/clock/face")
@needs(Permission.ADMINISTER)
def face() -> str:
    """Return only the clock's face, for the script that keeps it fresh."""
    return render_template("clock/face.html", **_face())


@pages.post("/clock")
@needs(Permission.ADMINISTER)
def move() -> Response:
    """Wish for a step; the worker carries it out."""
    house, step = the_house(), request.form.get("step", "")
    if step not in STEPS:
        abort(400)
    now = house.service_clock.now()
    with house.database.work() as work:
        wish(work, step, now, house.settings.zone)
    return redirect(url_for("clock.show"), code=303)


def _face() -> dict[str, object]:
    house = the_house()
    now, zone = house.service_clock.now(), ZoneInfo(house.settings.zone)
    with house.database.look() as work:
        left = hours_left(work.staff)
    goal = now + left * HOUR
    return {"now": now.astimezone(zone), "left": left, "goal": goal.astimezone(zone), "zone": zone.key}
