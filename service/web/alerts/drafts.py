"""Writing an alert: the form, what its words become and cost while it is filled in, and the draft kept of it."""

from collections.abc import Callable
from datetime import datetime
from typing import Final

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from flows.templates import TEMPLATES
from service.clock import local_day
from service.core.alerts import Alert
from service.core.errors import Refused
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases.alerts import drafting
from service.use_cases.alerts.drafting import OutOfReach
from service.use_cases.alerts.writing import MOST_PARTS, cheaper
from service.use_cases.tools import Tools
from service.web.alerts.form import HEIGHT_WORDS, Form
from service.web.alerts.seen import LARGEST_ID, districts_of, seen
from service.web.farmers import season
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("drafts", __name__)

_EDIT: Final = f"/alerts/<int(max={LARGEST_ID}):alert_id>/edit"


@pages.get("/alerts/new")
@needs(Permission.ALERT)
def new() -> str:
    """Show an empty form, or one filled as an earlier alert was."""
    house, officer = the_house(), the_officer()
    now, zone = house.service_clock.now(), house.settings.zone
    like = request.args.get("like", type=int)
    with house.database.look() as work:
        if like is not None:
            earlier = seen(work, like)
            key, strip = house.tools.ids.reference(), season.lay_out(house.calendar)
            form = Form.of(earlier, key, strip, now, zone)
        else:
            theirs = districts_of(work, officer)
            only = frozenset(theirs) if len(theirs) == 1 else frozenset[int]()
            template = request.args.get("template")
            form = Form.empty(
                house.tools.ids.reference(),
                template if template in TEMPLATES else None,
                only,
                now=now,
                zone=zone,
            )
    return _form(form, url_for("drafts.create"))


@pages.post("/alerts/new")
@needs(Permission.ALERT)
def create() -> Response | str | tuple[str, int]:
    """Keep a draft, or measure the words and show the form again."""
    return _take(url_for("drafts.create"), drafting.draft)


@pages.get(_EDIT)
@needs(Permission.ALERT)
def edit(alert_id: int) -> str:
    """Show the form of a draft."""
    house = the_house()
    with house.database.look() as work:
        alert = seen(work, alert_id)
    strip, now = season.lay_out(house.calendar), house.service_clock.now()
    form = Form.of(alert, alert.idem_key, strip, now, house.settings.zone)
    return _form(form, url_for("drafts.change", alert_id=alert_id))


@pages.post(_EDIT)
@needs(Permission.ALERT)
def change(alert_id: int) -> Response | str | tuple[str, int]:
    """Change a draft, or measure the words and show the form again."""

    def redraft(work: Work, tools: Tools, officer: Officer, order: drafting.Order, now: datetime) -> Alert:
        return drafting.redraft(work, tools, officer, alert_id, order, now=now)

    return _take(url_for("drafts.change", alert_id=alert_id), redraft)


@pages.post("/alerts/measure")
@needs(Permission.ALERT)
def measure() -> str:
    """Return what the words typed so far would cost, for the script that keeps the form fresh."""
    return render_template("alerts/measured.html", **_measured(_typed()))


def _typed() -> Form:
    house = the_house()
    today = local_day(house.service_clock.now(), house.settings.zone)
    return Form.typed(request.form, house.tools.packs.languages, today)


def _take(action: str, keep: Callable[..., Alert]) -> Response | str | tuple[str, int]:
    """Read the form; keep what was ordered with `keep` and go there, or show the form again."""
    house = the_house()
    form = _typed()
    if request.form.get("do") == "measure":
        return _form(form, action)
    try:
        order = form.order(house.settings.zone, season.lay_out(house.calendar))
        with house.database.work() as work:
            alert = keep(work, house.tools, the_officer(), order, house.service_clock.now())
    except OutOfReach:
        abort(404)
    except Refused as refusal:
        return _form(form, action, wrong=str(refusal)), 400
    return redirect(url_for("alerts.show", alert_id=alert.id), code=303)


def _form(form: Form, action: str, wrong: str | None = None) -> str:
    house, officer = the_house(), the_officer()
    with house.database.look() as work:
        districts = districts_of(work, officer)
        villages = work.places.villages(officer.districts)
        groups = work.places.groups(officer.districts)
    return render_template(
        "alerts/form.html",
        form=form,
        action=action,
        wrong=wrong,
        districts=districts,
        villages=villages,
        groups=groups,
        heights=HEIGHT_WORDS,
        bands=season.lay_out(house.calendar).bands,
        languages=house.tools.packs.languages,
        zone=house.settings.zone,
        **_measured(form),
    )


def _measured(form: Form) -> dict[str, object]:
    """Return what the texts of a form are and cost, as far as it is filled in."""
    house, officer = the_house(), the_officer()
    try:
        order = form.order(house.settings.zone, season.lay_out(house.calendar))
        with house.database.look() as work:
            theirs = tuple(
                one for one in work.people.districts() if one.id in form.districts and officer.covers(one.id)
            )
            late = drafting.is_late(house.tools, order, theirs, house.service_clock.now())
            names = tuple(one.name for one in theirs)
            written = drafting.write(work, house.tools, order, officer, names, late=late)
    except Refused:
        written = ()
    return {
        "template": TEMPLATES.get(form.template or ""),
        "written": written,
        "most_parts": MOST_PARTS,
        "cheaper": cheaper,
    }
