"""An officer's own account: what they may do, their password, their second factor, and where they are signed in."""

from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service import ids
from service.core import totp
from service.core.errors import Refused
from service.core.password_rules import ADVISED, LONGEST, SHORTEST
from service.core.staff import Session
from service.passwords import common_passwords
from service.use_cases.accounts import change_password, confirm_second_factor, offer_second_factor
from service.use_cases.places import TOLD_FOR
from service.use_cases.sessions import end_own, open_sessions
from service.use_cases.sign_in import Attempt
from service.web.account.browsers import plain_browser
from service.web.account.otpauth import secret_address
from service.web.house import the_house
from service.web.permissions import officers_only
from service.web.sessions import subscriber, the_session

pages = Blueprint("account", __name__)

RECOVERY_CODES: Final = 8
_KEPT: Final = frozenset({"password", "second_factor"})
_SET_ALREADY: Final = (
    "Your second factor is set already. Its recovery codes were shown once and are kept nowhere: if you have not "
    "written them down, make another secret here, and fresh ones come with it."
)
_TWO_DIFFER: Final = "The two new passwords differ. Type the same one twice."


@pages.get("/account")
@officers_only
def show() -> str:
    """Show the account."""
    house, session = the_house(), _session()
    now = house.real_clock.now()
    with house.database.look() as work:
        account = work.logins.account_of(session.officer.id) or abort(401)
        sessions = open_sessions(work.logins, session.officer, now)
        left = work.logins.recovery_codes_left(session.officer.id)
        places = work.logins.new_places(now - TOLD_FOR, officer_id=session.officer.id)
        names = {one.id: one.name for one in work.people.districts()}
    theirs = session.officer.districts
    return render_template(
        "account/show.html",
        officer=session.officer,
        account=account,
        districts=None if theirs is None else sorted(names[one] for one in theirs),
        sessions=sessions,
        present=session.handle,
        recovery_left=left,
        places=places,
        zone=house.settings.zone,
        now=now,
        plain_browser=plain_browser,
        kept=request.args.get("kept") in _KEPT,
    )


@pages.post("/account/sessions")
@officers_only
def end_session() -> AnyResponse:
    """End one of the officer's own sessions, or all others."""
    house = the_house()
    with house.database.work() as work:
        end_own(work, _session(), request.form.get("which", ""), house.real_clock.now())
    return redirect(url_for("account.show"), code=303)


@pages.get("/account/password")
@officers_only
def password() -> Response:
    """Show the form for a new password."""
    return _password_form("", 200)


@pages.post("/account/password")
@officers_only
def set_password() -> AnyResponse:
    """Set a new password."""
    house, session = the_house(), _session()
    new = request.form.get("new", "")
    if new != request.form.get("again", ""):
        return _password_form(_TWO_DIFFER, 400)
    try:
        change_password(
            house.database.work,
            house.passwords,
            session,
            _shown(session),
            new,
            common=common_passwords(),
            programme=house.settings.programme,
            now=house.real_clock.now(),
        )
    except Refused as refusal:
        return _password_form(str(refusal), 400)
    return redirect(url_for("account.show", kept="password"), code=303)


@pages.get("/account/second-factor")
@officers_only
def second_factor() -> Response:
    """Show what a second factor is, and the button that makes one."""
    return _factor_form("", 200)


@pages.post("/account/second-factor")
@officers_only
def offer() -> Response:
    """Make a fresh secret and show it; it counts once its digits were typed."""
    house, session = the_house(), _session()
    secret = ids.second_factor_secret()
    try:
        offer_second_factor(
            house.database.work,
            house.passwords,
            session,
            _shown(session),
            secret=secret,
            now=house.real_clock.now(),
        )
    except Refused as refusal:
        return _factor_form(str(refusal), 400)
    return _secret_form(secret, "", 200)


@pages.post("/account/second-factor/confirm")
@officers_only
def confirm() -> Response:
    """Let the offered secret count, and show the recovery codes this once."""
    house, session = the_house(), _session()
    codes = [ids.one_time_code() for _ in range(RECOVERY_CODES)]
    try:
        with house.database.work() as work:
            digits = request.form.get("digits", "")
            confirm_second_factor(work, session, digits, codes, house.real_clock.now())
    except Refused as refusal:
        if _is_set(session):
            return _factor_form(_SET_ALREADY, 409)
        with house.database.look() as work:
            offered = work.logins.offered_second_factor(session.officer.id)
        return _secret_form(offered, str(refusal), 400) if offered else _factor_form(str(refusal), 400)
    return make_response(render_template("account/recovery.html", codes=codes))


def _is_set(session: Session) -> bool:
    """Return whether the second factor stands and nothing waits to be confirmed: the form was sent once more."""
    with the_house().database.look() as work:
        account = work.logins.account_of(session.officer.id)
        waits = work.logins.offered_second_factor(session.officer.id)
    return account is not None and account.second_factor is not None and waits is None


def _session() -> Session:
    return the_session() or abort(401)


def _shown(session: Session) -> Attempt:
    """Return what the officer shows of their present account before they change it."""
    return Attempt(
        address=subscriber(),
        token="",
        csrf="",
        row_id=the_house().ids.row(),
        name=session.officer.name,
        password=request.form.get("present", ""),
        digits=request.form.get("digits", ""),
    )


def _form(template: str, note: str, status: int, **values: object) -> Response:
    house, session = the_house(), _session()
    with house.database.look() as work:
        account = work.logins.account_of(session.officer.id) or abort(401)
    page = render_template(template, note=note, account=account, officer=session.officer, **values)
    return make_response(page, status)


def _password_form(note: str, status: int) -> Response:
    return _form("account/password.html", note, status, shortest=SHORTEST, advised=ADVISED, longest=LONGEST)


def _factor_form(note: str, status: int) -> Response:
    return _form("account/second_factor.html", note, status)


def _secret_form(secret: bytes, note: str, status: int) -> Response:
    programme, officer = the_house().settings.programme, _session().officer.name
    return _form(
        "account/secret.html",
        note,
        status,
        secret=totp.secret_text(secret),
        link=secret_address(secret, officer=officer, programme=programme),
    )
