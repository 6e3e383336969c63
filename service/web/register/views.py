"""The register of farmers: searched by name, place or last digits, filtered, a page at a time."""

from datetime import date, datetime
from math import ceil
from typing import Final

from flask import Blueprint, render_template, request

from flows.facts import FarmerState
from service.clock import local_day
from service.core.folding import folded
from service.core.rights import Permission
from service.db.queries.console_values import Search
from service.web.farmers import season
from service.web.farmers.views import LARGEST_ID
from service.web.house import the_house
from service.web.permissions import needs, the_officer
from service.web.words import FARMER_STATES, LANGUAGES

pages = Blueprint("register", __name__)

PAGE: Final = 50
_LONGEST_SEARCH: Final = 80
_LAST_PAGE: Final = 100_000
_DIGITS_SHOWN: Final = 3
_FEWEST_DIGITS: Final = 2
_PAUSED: Final = "paused"
_STATES: Final = (
    *((state, words) for state, words in FARMER_STATES.items() if state != FarmerState.ERASED),
    (_PAUSED, "has paused"),
)


@pages.get("/farmers")
@needs(Permission.SEE)
def index() -> str:
    """Show the farmers that are looked for."""
    house, officer = the_house(), the_officer()
    on = local_day(house.service_clock.now(), house.settings.zone)
    strip = season.lay_out(house.calendar)
    typed = _typed()
    search = _search(typed, strip, on, house.service_clock.now())
    with house.database.look() as work:
        sight = work.console.within(officer.districts)
        found = sight.register(search)
        nearest = not found.total and search.page == 1
        if nearest:
            found = sight.near(search)
        places = {
            "districts": [one for one in work.people.districts() if officer.covers(one.id)],
            "villages": work.places.villages(officer.districts),
            "groups": work.places.groups(officer.districts),
        }
    return render_template(
        "register/list.html",
        today=on,
        strip=strip,
        farmers=found,
        nearest=nearest,
        typed=typed,
        filtered=any(value for name, value in typed.items() if name != "name"),
        page=search.page,
        last_page=max(ceil(found.total / PAGE), 1),
        states=_STATES,
        languages=LANGUAGES,
        stages=season.stages(strip),
        along=season.along,
        **places,
    )


def _typed() -> dict[str, str]:
    """Return what was asked for, as it is typed and shown again."""
    names = ("name", "district", "village", "group", "state", "language", "stage")
    return {name: " ".join(request.args.get(name, "")[:_LONGEST_SEARCH].split()) for name in names}


def _search(typed: dict[str, str], strip: season.Season, today: date, now: datetime) -> Search:
    words, digits = _told_apart(typed["name"])
    return Search(
        words=words,
        # Whoever types a whole number looks for its last digits too: no more of it is shown anywhere.
        ends=digits[-_DIGITS_SHOWN:],
        district=_id(typed["district"]),
        village=_id(typed["village"]),
        group=_id(typed["group"]),
        state="" if typed["state"] == _PAUSED else typed["state"],
        paused_at=now if typed["state"] == _PAUSED else None,
        language=typed["language"],
        planted=season.planting_days(strip, typed["stage"], today),
        page=min(max(request.args.get("page", 1, type=int), 1), _LAST_PAGE),
        size=PAGE,
    )


def _told_apart(typed: str) -> tuple[tuple[str, ...], str]:
    """Return the words of a name or a place among what was typed, and the digits of a number; "asha 560" has both."""
    numbers = [word for word in typed.split() if not any(char.isalpha() for char in word)]
    digits = "".join(char for word in numbers for char in word if char.isdecimal())
    if len(digits) < _FEWEST_DIGITS:
        return tuple(folded(typed).split()), ""
    return tuple(folded(word) for word in typed.split() if word not in numbers), digits


def _id(word: str) -> int | None:
    return min(int(word), LARGEST_ID) if word.isascii() and word.isdecimal() else None
