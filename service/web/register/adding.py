"""Adding one farmer to the register."""

from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from flows.wording import Name
from service.core.errors import Refused
from service.core.phone import BadNumber, read_number
from service.core.rights import Permission
from service.use_cases.names_in_texts import told_of_name
from service.use_cases.registering import NewFarmer, NumberKnown, Registered, Way, register
from service.web.farmers.views import LARGEST_ID
from service.web.house import the_house
from service.web.permissions import needs, the_officer
from service.web.register.known import known_page
from service.web.words import AS_WRITTEN, LANGUAGES, PRECISIONS

pages = Blueprint("adding", __name__)

_NO_DAY: Final = "Write the planting date as day, month and year."
_NO_PLANTS: Final = "Write how many plants there are, in figures."
_LONGEST_TYPED: Final = 80


@dataclass(frozen=True, kw_only=True, slots=True)
class Typed:
    """The form as it was typed."""

    number: str = ""
    name: str = ""
    language: str = ""
    district: str = ""
    village: str = ""
    group: str = ""
    plants: str = ""
    planted: str = ""
    precision: str = "exact"
    way: str = Way.TEXT
    sharing: str = ""
    written: str = ""

    @classmethod
    def of(cls, form: MultiDict[str, str]) -> "Typed":
        """Take the fields there are and no others, each cut to what could be meant."""
        names = cls.__slots__
        return cls(**{name: form[name].strip()[:_LONGEST_TYPED] for name in names if name in form})


@pages.get("/farmers/new")
@needs(Permission.REGISTER)
def new() -> Response:
    """Show an empty form."""
    return _form(Typed(language=the_house().settings.language), "", 200)


@pages.post("/farmers/new")
@needs(Permission.REGISTER)
def add() -> AnyResponse:
    """Add the farmer and go to their page; a number that is known already is shown with who has it, and asked about."""
    typed = Typed.of(request.form)
    if "back" in request.form:
        return _form(typed, "", 200)
    told = told_of_name(typed.name, lambda name: str(Name(name)), then=AS_WRITTEN)
    if told and typed.written != typed.name:
        return _form(replace(typed, written=typed.name), told, 400)
    try:
        registered = _register(typed)
    except NumberKnown as known:
        fields = {name: value for name, value in asdict(typed).items() if name != "sharing"}
        return known_page(
            known.phone_id,
            name=typed.name,
            action=request.path,
            fields=fields,
            go_on=f"Add {typed.name}: another person on the same phone",
        )
    except (Refused, BadNumber) as refusal:
        return _form(typed, str(refusal), 400)
    return redirect(url_for("farmers.person", farmer_id=registered.farmer_id), code=303)


def _register(typed: Typed) -> Registered:
    house, officer = the_house(), the_officer()
    district = _id(typed.district)
    if district is not None and not officer.covers(district):
        abort(404)
    with house.database.work() as work:
        return register(
            work,
            house.tools,
            officer,
            NewFarmer(
                number=read_number(typed.number, house.settings.region),
                name=typed.name,
                language=typed.language,
                district_id=district or 0,
                village_id=_id(typed.village),
                group_id=_id(typed.group),
                plants=_plants(typed.plants),
                planted_on=_day(typed.planted),
                precision=typed.precision if typed.precision in PRECISIONS else "exact",
                way=Way(typed.way) if typed.way in set(Way) else Way.TEXT,
                sharing=typed.sharing == "yes",
            ),
            paper_allowed=house.settings.paper_consent,
            now=house.service_clock.now(),
            real_now=house.real_clock.now(),
        )


def _form(typed: Typed, note: str, status: int) -> Response:
    house, officer = the_house(), the_officer()
    with house.database.look() as work:
        page = render_template(
            "register/new.html",
            typed=typed,
            note=note,
            districts=[one for one in work.people.districts() if officer.covers(one.id)],
            villages=work.places.villages(officer.districts),
            groups=work.places.groups(officer.districts),
            languages=LANGUAGES,
            paper=house.settings.paper_consent,
        )
    return make_response(page, status)


def _id(word: str) -> int | None:
    return min(int(word), LARGEST_ID) if word.isascii() and word.isdecimal() else None


def _plants(word: str) -> int:
    plain = "".join(char for char in word if char not in " ,.")
    if not (plain.isascii() and plain.isdecimal()):
        raise Refused(_NO_PLANTS)
    return int(plain)


def _day(word: str) -> date:
    try:
        return date.fromisoformat(word)
    except ValueError as error:
        raise Refused(_NO_DAY) from error
