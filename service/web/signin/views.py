"""Signing in with a one-time code, and out again."""

import ipaddress
from math import ceil
from typing import Final

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service import ids
from service.use_cases.officers import Attempt, TooManyTries, WrongCode, sign_in
from service.web.house import the_house
from service.web.permissions import officers_only, open_to_all
from service.web.sessions import cookie_token, drop_cookie, set_cookie, sign_out, the_session

pages = Blueprint("signin", __name__)

_WRONG: Final = (
    "That code does not work. Codes work once and only for a day: ask for a new one if this one is old."
)
_TOO_MANY: Final = "Too many wrong codes came from your address. Try again in {minutes}."
_OUT: Final = "You are signed out."
# An IPv6 subscriber has a whole /64 to guess from.
_SUBSCRIBER_BITS: Final = 64
_WRONG_FROM: Final = 400


@pages.get("/sign-in")
@open_to_all
def ask() -> AnyResponse:
    """Show the one field."""
    if the_session() is not None:
        return redirect(url_for("farmers.today"), code=303)
    note = _OUT if "out" in request.args else ""
    return _form(note=note, status=200)


@pages.post("/sign-in")
@open_to_all
def try_code() -> AnyResponse:
    """Try the code that was typed."""
    house = the_house()
    token = ids.token()
    attempt = Attempt(
        code=request.form.get("code", ""),
        address=_address(request.remote_addr or ""),
        token=token,
        csrf=ids.token(),
        row_id=house.ids.row(),
        replaces=cookie_token(),
    )
    with house.database.work() as work:
        result = sign_in(work, attempt, house.real_clock.now())
    match result:
        case TooManyTries():
            return _slow_down(ceil(result.wait.total_seconds()))
        case WrongCode():
            return _form(note=_WRONG, status=403)
    response = make_response(redirect(_way_back(request.form.get("to", "")), code=303))
    set_cookie(response, token)
    return response


@pages.post("/sign-out")
@officers_only
def leave() -> AnyResponse:
    """End the session, and have the browser forget all it kept of these pages."""
    sign_out()
    response = make_response(redirect(url_for("signin.ask", out=1), code=303))
    drop_cookie(response)
    response.headers["Clear-Site-Data"] = '"cache", "cookies", "storage"'
    return response


def _form(*, note: str, status: int) -> Response:
    to = _way_back(request.values.get("to", ""))
    return make_response(
        render_template("signin/ask.html", note=note, wrong=status >= _WRONG_FROM, to=to), status
    )


def _slow_down(seconds: int) -> Response:
    minutes = ceil(seconds / 60)
    response = _form(note=_TOO_MANY.format(minutes=f"{minutes} minute{'s' * (minutes > 1)}"), status=429)
    response.headers["Retry-After"] = str(seconds)
    return response


def _way_back(path: str) -> str:
    """Return where to go after signing in: a path of ours, never another site's address."""
    ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if ours else url_for("farmers.today")


def _address(remote: str) -> str:
    try:
        found = ipaddress.ip_address(remote)
    except ValueError:
        return remote
    if isinstance(found, ipaddress.IPv6Address):
        return str(ipaddress.ip_network((found, _SUBSCRIBER_BITS), strict=False))
    return remote
