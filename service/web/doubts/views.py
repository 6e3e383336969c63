"""Texts in doubt, set aside or failed, with what can be done about each."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Final, TypeVar

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.core.errors import Refused
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases import doubts, stuck
from service.use_cases.resending import goes_again
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

Which = TypeVar("Which", int, tuple[date, int])

pages = Blueprint("doubts", __name__)

_SHOWN: Final = 100
_LARGEST_ID: Final = 2**63 - 1
_DECISIONS: Final[dict[str, Callable[[Work, Officer, tuple[date, int], datetime], None]]] = {
    "again": doubts.send_again,
    "leave": doubts.leave,
}


_UNREAD: Final[dict[str, Callable[[Work, Officer, int, datetime], None]]] = {
    "again": stuck.read_again,
    "seen": stuck.look_at,
}
_FAILED: Final[dict[str, Callable[[Work, Officer, tuple[date, int], datetime], None]]] = {
    "again": stuck.send_again,
    "seen": stuck.see,
}


@pages.get("/doubts")
@needs(Permission.ALERT)
def index() -> str:
    """List the texts of the officer's districts that are in doubt, could not be read or could not be sent."""
    return _page()


def _page(wrong: str | None = None) -> str:
    house, officer = the_house(), the_officer()
    now = house.service_clock.now()
    with house.database.look() as work:
        waiting = work.doubts.lines(officer.districts, looked_at=False, limit=_SHOWN)
        left = work.doubts.lines(officer.districts, looked_at=True, limit=_SHOWN)
        total = work.doubts.count(officer.districts, looked_at=False)
        unread = work.stuck.unread(officer.districts, _SHOWN)
        failed = work.stuck.failed(officer.districts, _SHOWN)
        stuck_total = work.stuck.count(officer.districts)
    return render_template(
        "doubts/list.html",
        waiting=waiting,
        left=left,
        total=total,
        again={one.key for one in (*waiting, *left) if goes_again(one, now)},
        now=now,
        unread=unread,
        failed=failed,
        stuck_total=stuck_total,
        wrong=wrong,
    )


@pages.post(f"/doubts/<day>/<int(max={_LARGEST_ID}):message_id>")
@needs(Permission.ALERT)
def decide(day: str, message_id: int) -> Response | tuple[str, int]:
    """Send one in doubt again, or let it be."""
    return _decide(_DECISIONS, _key(day, message_id))


@pages.post(f"/doubts/failed/<day>/<int(max={_LARGEST_ID}):message_id>")
@needs(Permission.ALERT)
def decide_failed(day: str, message_id: int) -> Response | tuple[str, int]:
    """Try one that failed again, or mark it as seen."""
    return _decide(_FAILED, _key(day, message_id))


@pages.post(f"/doubts/unread/<int(max={_LARGEST_ID}):inbound_id>")
@needs(Permission.ALERT)
def decide_unread(inbound_id: int) -> Response | tuple[str, int]:
    """Have one that could not be read tried again, or mark it as seen."""
    return _decide(_UNREAD, inbound_id)


def _key(day: str, message_id: int) -> tuple[date, int]:
    try:
        return (date.fromisoformat(day), message_id)
    except ValueError:
        abort(404)


def _decide(
    decisions: Mapping[str, Callable[[Work, Officer, Which, datetime], None]], which: Which
) -> Response | tuple[str, int]:
    """Do what the button says to one text, and show the list."""
    house = the_house()
    decision = decisions.get(request.form.get("do", ""))
    if decision is None:
        abort(400)
    try:
        with house.database.work() as work:
            decision(work, the_officer(), which, house.service_clock.now())
    except (doubts.NoDoubt, stuck.NotStuck):
        abort(404)
    except Refused as refusal:
        return _page(wrong=str(refusal)), 400
    return redirect(url_for("doubts.index"), code=303)
