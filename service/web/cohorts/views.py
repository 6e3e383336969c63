"""The page that says whether it is working."""

from datetime import date, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flask import Blueprint, render_template, request

from service.clock import local_day
from service.core.cohorts import By
from service.core.rights import Permission
from service.use_cases.cohorts import look
from service.use_cases.cohorts_told import of_lot, of_wordings, percent
from service.web.house import the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("cohorts", __name__)

# Whoever opens the page waits for it; `trussline cohorts --days` looks further back.
_SPANS: Final = {28: "4 weeks", 91: "13 weeks"}
_BYS: Final = {
    By.PLANTED: "month of planting",
    By.JOINED: "month of joining",
    By.DISTRICT: "district",
}


@pages.get("/cohorts")
@needs(Permission.SEE)
def show() -> str:
    """Show the officer's farmers by cohort."""
    house, officer = the_house(), the_officer()
    wanted, days = request.args.get("by", ""), request.args.get("days", type=int)
    by = By(wanted) if wanted in set(By) else By.PLANTED
    span = days if days in _SPANS else min(_SPANS)
    zone = house.settings.zone
    last = local_day(house.service_clock.now(), zone) - timedelta(days=1)
    with house.database.look() as work:
        found = look(
            work,
            house.calendar,
            by,
            first=last - timedelta(days=span - 1),
            last=last,
            districts=officer.districts,
            zone=ZoneInfo(zone),
        )
    return render_template(
        "cohorts/show.html",
        found=found,
        by=by,
        bys=_BYS,
        span=span,
        spans=_SPANS,
        name_of=str if by is By.DISTRICT else _month,
        percent=percent,
        lot=tuple(of_lot(found.by_lot)) if found.by_lot else (),
        wordings=[" ".join(of_wordings(one)) for one in found.wordings],
    )


def _month(name: str) -> str:
    return f"{date.fromisoformat(f'{name}-01'):%b %Y}"
