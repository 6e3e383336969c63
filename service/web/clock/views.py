"""The clock of a demo. A button only keeps a wish; the worker carries it out, hour by hour."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.clock import local_day, local_instant
from service.core.rights import Permission
from service.web.house import Work, the_house
from service.web.permissions import needs

pages = Blueprint("clock", __name__)

# How many hours the worker still has to step, as a whole number.
WISH: Final = "clock_wish"
MORNING: Final = 7
# Eight weeks: a slip of the finger must not keep the worker busy for an hour.
MOST_HOURS: Final = 8 * 7 * 24
_HOUR: Final = timedelta(hours=1)


def _until_morning(at: datetime, zone: str) -> int:
    """Return how many whole hours bring an instant to the next 7 in the morning, or just past it."""
    today = local_day(at, zone)
    mornings = (local_instant(today + timedelta(days=days), MORNING, zone) for days in range(3))
    nearest = next(morning for morning in mornings if morning > at)
    return -((at - nearest) // _HOUR)


STEPS: Final[dict[str, Callable[[datetime, str], int]]] = {
    "hour": lambda _at, _zone: 1,
    "day": lambda _at, _zone: 24,
    "week": lambda _at, _zone: 7 * 24,
    "morning": _until_morning,
}


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
    """Add hours to the wish."""
    house = the_house()
    step = STEPS.get(request.form.get("step", ""))
    if step is None:
        abort(400)
    now = house.service_clock.now()
    with house.database.work() as work:
        left = _left(work)
        wish = left + step(now + left * _HOUR, house.settings.zone)
        work.staff.put_setting(WISH, str(min(wish, MOST_HOURS)))
        work.commit()
    return redirect(url_for("clock.show"), code=303)


def _left(work: Work) -> int:
    return int(work.staff.setting(WISH) or 0)


def _face() -> dict[str, object]:
    house = the_house()
    now, zone = house.service_clock.now(), ZoneInfo(house.settings.zone)
    with house.database.look() as work:
        left = _left(work)
    goal = now + left * _HOUR
    return {"now": now.astimezone(zone), "left": left, "goal": goal.astimezone(zone), "zone": zone.key}
