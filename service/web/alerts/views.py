"""The pages of alerts: the list, and one alert from draft to report."""

from collections.abc import Callable
from datetime import datetime
from typing import Final

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from flows.templates import TEMPLATES
from service.core.alert_states import AlertState, Move, allowed
from service.core.alerts import Alert, Answer
from service.core.errors import Refused
from service.core.rights import Permission
from service.core.staff import Officer
from service.db.queries.reached import PlannedLine
from service.use_cases.alerts import deciding, previewing
from service.use_cases.alerts.counting import count
from service.use_cases.alerts.drafting import OutOfReach, covers
from service.use_cases.alerts.one_a_day import others_of, why_nobody
from service.use_cases.alerts.previewing import Preview
from service.web.alerts import words
from service.web.alerts.dayline import bar, lay_out
from service.web.alerts.seen import LARGEST_ID, districts_of, seen
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer
from service.web.words import MESSAGE_STATES

pages = Blueprint("alerts", __name__)

_SHOWN: Final = 50
_NAMED: Final = 300
_ANSWERS_SHOWN: Final = 40
_MOST_PAGES: Final = 100_000
_TOO_LATE: Final = (
    "It would reach nobody in time: no text can leave before it is of no use. "
    "Press “Change it” and give it more time, or call them."
)
_ONE: Final = f"/alerts/<int(max={LARGEST_ID}):alert_id>"


@pages.app_template_global("alert_words")
def _words() -> object:
    return words


@pages.get("/alerts")
@needs(Permission.ALERT)
def index() -> str:
    """Show the newest alerts of the officer's districts, and how many texts are in doubt."""
    house, officer = the_house(), the_officer()
    with house.database.look() as work:
        lines = work.alerts.lines(officer.districts, _SHOWN)
        doubts = work.doubts.count(officer.districts, looked_at=False)
        stuck = work.stuck.count(officer.districts)
    return render_template(
        "alerts/list.html",
        lines=lines,
        doubts=doubts,
        stuck=stuck,
        now=house.service_clock.now(),
        zone=house.settings.zone,
        templates=TEMPLATES,
    )


@pages.get(_ONE)
@needs(Permission.ALERT)
def show(alert_id: int) -> str:
    """Show a draft with all that it would do, or how an alert goes."""
    return _page("alerts/show.html", alert_id)


@pages.get(f"{_ONE}/state")
@needs(Permission.ALERT)
def state(alert_id: int) -> str:
    """Return only where an alert stands, for the script; `was` is where it stood when its buttons were drawn."""
    return _page("alerts/state.html", alert_id)


@pages.get(f"{_ONE}/progress")
@needs(Permission.ALERT)
def progress(alert_id: int) -> str:
    """Return only how an alert goes, for the script that keeps it fresh."""
    return _page("alerts/progress.html", alert_id)


@pages.get(f"{_ONE}/reached")
@needs(Permission.ALERT)
def reached(alert_id: int) -> str:
    """List the farmers of an alert by name: who got it, who did not and why."""
    house, officer = the_house(), the_officer()
    page = min(max(request.args.get("page", 1, type=int), 1), _MOST_PAGES)
    with house.database.look() as work:
        alert = seen(work, alert_id)
        total = work.reached.count(alert.id, officer.districts)
        skip = (page - 1) * _SHOWN
        lines = work.reached.page(alert.id, officer.districts, limit=_SHOWN, skip=skip)
    return render_template(
        "alerts/reached.html",
        alert=alert,
        lines=lines,
        total=total,
        page=page,
        last_page=max(-(-total // _SHOWN), 1),
        zone=house.settings.zone,
        now=house.service_clock.now(),
        states=MESSAGE_STATES,
    )


def _page(template: str, alert_id: int, wrong: str | None = None) -> str:
    house, officer = the_house(), the_officer()
    now, zone = house.service_clock.now(), house.settings.zone
    with house.database.look() as work:
        alert = seen(work, alert_id)
        draft = alert.state is AlertState.DRAFT
        preview = previewing.preview(work, house.tools, alert, now) if draft else None
        counted = count(work, alert.id, alert.state)
        shown = {
            "names": [
                name for one, name in districts_of(work, officer).items() if one in alert.audience.districts
            ],
            "writer": work.alerts.writer(alert.officer_id).name,
            "approver": work.alerts.writer(alert.approved_by).name if alert.approved_by else None,
            "preview": preview,
            "named": _named(work, alert, now) if preview and preview.goes else (),
            "counted": counted,
            "theirs": _theirs(preview, officer),
            "nobody": _why_nobody(alert, preview) if preview else None,
            "danger": work.dangers.of_alert(alert.id),
            "need_help": work.alerts.answered(alert.id, Answer.NEED_HELP, _ANSWERS_SHOWN),
        }
    begins = max(alert.send_at, alert.waits_until or alert.send_at, now if draft else alert.send_at)
    return render_template(
        template,
        alert=alert,
        officer=officer,
        wrong=wrong,
        now=now,
        zone=zone,
        begins=begins,
        line=lay_out(begins, alert.useless_after, now, zone),
        bar=bar(counted),
        moves=allowed(alert.state),
        Move=Move,
        may_approve=officer.may(Permission.APPROVE) and officer.id != alert.officer_id,
        **shown,
    )


def _named(work: Work, alert: Alert, now: datetime) -> tuple[PlannedLine, ...]:
    """Return the first of those whom a draft would text, by name."""
    return work.reached.planned(
        alert.audience,
        languages=[text.language for text in alert.texts],
        others=others_of(the_house().tools, alert.kind, max(alert.send_at, now)),
        now=now,
        limit=_NAMED,
    )


def _why_nobody(alert: Alert, preview: Preview) -> str:
    return _TOO_LATE if preview.reach.phones else why_nobody(alert, preview.reach)


def _theirs(preview: Preview | None, officer: Officer) -> frozenset[int]:
    """Return which of the other alerts that a draft names this officer may open."""
    earlier = preview.earlier if preview else ()
    return frozenset(one.alert.id for one in earlier if covers(officer, one.alert.audience.districts))


def _confirm(work: Work, officer: Officer, alert_id: int, now: datetime) -> Alert:
    return deciding.confirm(
        work,
        the_house().tools,
        officer,
        alert_id,
        digest=request.form.get("digest", ""),
        now=now,
        anyway=request.form.get("anyway"),
        in_the_morning="in_the_morning" in request.form,
    )


def _approve(work: Work, officer: Officer, alert_id: int, now: datetime) -> Alert:
    digest = request.form.get("digest", "")
    return deciding.approve(work, the_house().tools, officer, alert_id, digest=digest, now=now)


def _take_over(work: Work, officer: Officer, alert_id: int, now: datetime) -> Alert:
    digest = request.form.get("digest", "")
    return deciding.take_over(work, the_house().tools, officer, alert_id, digest=digest, now=now)


def _resume(work: Work, officer: Officer, alert_id: int, now: datetime) -> Alert:
    return deciding.resume(work, the_house().tools, officer, alert_id, now)


_DECISIONS: Final[dict[str, Callable[[Work, Officer, int, datetime], Alert]]] = {
    "confirm": _confirm,
    "approve": _approve,
    "take_over": _take_over,
    "pause": deciding.pause,
    "resume": _resume,
    "call_off": deciding.call_off,
}


@pages.post(f"{_ONE}/<any(confirm, approve, take_over, pause, resume, call_off):decision>")
@needs(Permission.ALERT)
def decide(alert_id: int, decision: str) -> Response | tuple[str, int]:
    """Do what a button says, and show the alert as it stands then."""
    house = the_house()
    try:
        with house.database.work() as work:
            _DECISIONS[decision](work, the_officer(), alert_id, house.service_clock.now())
    except OutOfReach:
        abort(404)
    except Refused as refusal:
        return _page("alerts/show.html", alert_id, wrong=str(refusal)), 400
    return redirect(url_for("alerts.show", alert_id=alert_id), code=303)
