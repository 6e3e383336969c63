"""The report page, and the same figures as a file."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from flask import Blueprint, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service.clock import local_day
from service.core.rights import Permission
from service.db.queries.reporting import DayPicked
from service.db.queries.scope import Districts
from service.web.house import the_house
from service.web.permissions import needs, the_officer
from service.web.report.figures import Section, bars, sections
from service.web.report.periods import LENGTHS, Period, period
from service.web.report.sheet import sheet

pages = Blueprint("report", __name__)

_LONGEST_DAY: Final = 20


@dataclass(frozen=True, kw_only=True, slots=True)
class _Asked:
    """What was asked for, and what was found; `district` is the one chosen, None for all of the officer's."""

    period: Period
    district: int | None
    names: dict[int, str]
    sections: tuple[Section, ...]
    picked: tuple[DayPicked, ...]

    @property
    def place(self) -> str:
        """The districts in words."""
        return self.names[self.district] if self.district is not None else "all your districts"


@pages.get("/report")
@needs(Permission.SEE)
def show() -> str:
    """Show what was done in a week or a month."""
    house = the_house()
    asked = _asked()
    return render_template(
        "report/show.html",
        asked=asked,
        bars=bars(asked.picked, asked.period),
        best=max((one.grams for one in asked.picked), default=0),
        lengths=tuple(LENGTHS),
        no_day=_no_day(),
        today=local_day(house.service_clock.now(), house.settings.zone),
    )


@pages.get("/report.csv")
@needs(Permission.SEE)
def download() -> AnyResponse:
    """Return the figures as a file; it holds no names and no numbers of phones."""
    if _no_day():
        # The page says so, with the form to choose another.
        length, district = request.args.get("length"), request.args.get("district")
        return redirect(url_for("report.show", length=length, day=_no_day(), district=district), code=303)
    asked, zone = _asked(), the_house().settings.zone
    days = asked.period.within(zone)
    text = sheet(asked.sections, asked.picked, days=days, district=asked.place, zone=zone)
    answer = make_response(text)
    answer.headers["Content-Type"] = "text/csv; charset=utf-8; header=present"
    name = f"report-{asked.period.length}-{asked.period.first.isoformat()}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _no_day() -> str:
    """Return what was typed for a day and is none; empty where it is one, or nothing was typed."""
    typed = request.args.get("day", "").strip()[:_LONGEST_DAY]
    try:
        date.fromisoformat(typed)
    except ValueError:
        return typed
    return ""


def _asked() -> _Asked:
    house, officer = the_house(), the_officer()
    now, zone = house.service_clock.now(), house.settings.zone
    given = request.args
    wanted = period(given.get("length", ""), given.get("day", ""), local_day(now, zone))
    district = given.get("district", type=int)
    with house.database.look() as work:
        names = {one.id: one.name for one in work.people.districts() if officer.covers(one.id)}
        if district is not None and district not in names:
            abort(404)
        within: Districts = officer.districts if district is None else (district,)
        return _Asked(
            period=wanted,
            district=district,
            names=names,
            sections=sections(work.reporting, wanted, within, now=now, zone=zone),
            picked=work.reporting.picked(wanted.within(zone), within),
        )
