"""The practice phone: a paper slip of texts on a page, which texts to the service and receives from it."""

from datetime import datetime
from typing import Final, cast

from flask import Blueprint, abort, current_app, redirect, render_template, request, url_for
from flask.sansio.blueprints import BlueprintSetupState
from werkzeug.wrappers import Response

from service.bootstrap import PracticePhone
from service.core.gateway import AnswerLost, NotSent, Unreachable
from service.core.rights import Permission
from service.db.queries.console_values import TextedIn
from service.web.house import the_house
from service.web.permissions import needs
from service.web.practice.thread import SHOWN, JustSent, received, thread

pages = Blueprint("practice", __name__)

# Three parts of GSM-7, as most feature phones let one type.
LONGEST: Final = 459
_TRY: Final = (
    ("JOIN Asha 450 20/5 Ndaliro", "join with name, plants, planting day and district"),
    ("JIUNGE", "join and be asked, in Swahili"),
    ("HARVEST 12.5", "what was picked today, in kilos"),
    ("vuna 12.5", "the same in Swahili"),
    ("JOBS", "this week's jobs"),
    ("DONE 1", "job 1 of the last list is done"),
    ("TOTAL", "what was picked so far"),
    ("ASK why are leaves yellow?", "ask the officer"),
    ("UNDO", "take the last thing back"),
    ("STOP", "no more texts"),
)
_NOT_SENT: Final = "The simulated network does not answer, so the text was not sent. Is the worker running?"
_NOBODY_KNOWS: Final = "The simulated network did not answer: nobody knows whether the text was sent."
_JUST_SENT: Final = "trussline_just_sent"


@pages.record
def _begin(state: BlueprintSetupState) -> None:
    state.app.extensions[_JUST_SENT] = JustSent()


def _just_sent() -> JustSent:
    return cast("JustSent", current_app.extensions[_JUST_SENT])


@pages.before_request
def _demo_only() -> None:
    if not the_house().settings.demo:
        abort(404)


@pages.get("/practice")
@needs(Permission.ADMINISTER)
def choose() -> str:
    """Show the phones there are."""
    return render_template("practice/choose.html", phones=the_house().practice_phones())


@pages.get("/practice/<int:slot>")
@needs(Permission.ADMINISTER)
def phone(slot: int) -> str:
    """Show one phone."""
    return _phone_page(_phone(slot), draft="", trouble="")


@pages.get("/practice/<int:slot>/thread")
@needs(Permission.ADMINISTER)
def part(slot: int) -> str:
    """Return only what stands on the phone's slip, for the script that keeps it fresh."""
    return render_template("practice/thread.html", **_slip(_phone(slot)))


@pages.post("/practice/<int:slot>")
@needs(Permission.ADMINISTER)
def send(slot: int) -> Response | str | tuple[str, int]:
    """Text to the service from this phone."""
    house, chosen = the_house(), _phone(slot)
    text = request.form.get("text", "").strip()[:LONGEST]
    if not text:
        return redirect(url_for("practice.phone", slot=slot), code=303)
    sent_at = house.service_clock.now()
    try:
        ref = house.network.text_in(
            source=chosen.number, destination=house.settings.service_number, text=text
        )
    except NotSent:
        return _phone_page(chosen, draft=text, trouble=_NOT_SENT), 503
    except AnswerLost:
        return _phone_page(chosen, draft=text, trouble=_NOBODY_KNOWS), 503
    _just_sent().add(slot, TextedIn(ref=ref, at=sent_at, text=text))
    return redirect(url_for("practice.phone", slot=slot), code=303)


def _phone(slot: int) -> PracticePhone:
    found = next((phone for phone in the_house().practice_phones() if phone.slot == slot), None)
    return found or abort(404)


def _phone_page(chosen: PracticePhone, *, draft: str, trouble: str) -> str:
    return render_template(
        "practice/phone.html",
        draft=draft,
        trouble=trouble,
        phones=the_house().practice_phones(),
        longest=LONGEST,
        examples=_TRY,
        **_slip(chosen),
    )


def _slip(chosen: PracticePhone) -> dict[str, object]:
    house = the_house()
    now: datetime = house.service_clock.now()
    stored: tuple[TextedIn, ...] = ()
    if chosen.phone_id is not None:
        with house.database.look() as work:
            stored = work.console.texted_in(chosen.phone_id, SHOWN)
    try:
        got, down = received(house.network, chosen.number), False
    except Unreachable:
        got, down = (), True
    return {
        "phone": chosen,
        "lines": thread(got, stored, _just_sent().missing_from(chosen.slot, stored)),
        "down": down,
        "now": now,
        "today": now.date(),
        "zone": house.settings.zone,
        "service_number": house.settings.service_number,
    }
