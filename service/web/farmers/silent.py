"""All farmers of whom nothing has been heard for long, although texts reach them."""

from typing import Final

from flask import Blueprint, render_template, request

from service.core.rights import Permission
from service.db.queries.silent import LONG_SILENT
from service.web.house import the_house
from service.web.permissions import needs, the_officer

pages = Blueprint("silent", __name__)

_SHOWN: Final = 100
_LAST_PAGE: Final = 10_000


@pages.get("/farmers/silent")
@needs(Permission.SEE)
def index() -> str:
    """Show them, the longest silent first, a page at a time."""
    house = the_house()
    now = house.service_clock.now()
    page = min(max(request.args.get("page", 1, type=int), 1), _LAST_PAGE)
    with house.database.look() as work:
        sight = work.console.within(the_officer().districts)
        found = sight.silent(now, _SHOWN + 1, (page - 1) * _SHOWN)
    return render_template(
        "farmers/silent.html",
        silent=found[:_SHOWN],
        more=len(found) > _SHOWN,
        page=page,
        days=LONG_SILENT.days,
        now=now,
        zone=house.settings.zone,
    )
