"""Signing in with name and password or with a one-time code, and out again."""

from math import ceil
from typing import Final

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service import ids
from service.core.staff import Lack
from service.logs import logger
from service.passwords import Busy
from service.use_cases.sign_in import Answer, Attempt, TooManyTries, WrongCode, sign_in, sign_in_by_password
from service.web.guard import page_to_set_up
from service.web.house import the_house
from service.web.permissions import officers_only, open_to_all
from service.web.sessions import (
    cookie_token,
    drop_cookie,
    set_cookie,
    sign_out,
    subscriber,
    the_session,
)

pages = Blueprint("signin", __name__)

_WRONG_CODE: Final = (
    "That code does not work. Codes work once and only for a day: ask for a new one if this one is old."
)
_WRONG: Final = (
    "That did not match. Check name and password and, if you have a second factor, its six digits: "
    "each six work once."
)
_TOO_MANY: Final = (
    "Too many wrong tries came for this name or from your address. Nothing is locked. Try again in {minutes}."
)
_WHY_HERE: Final = {
    "out": "You are signed out.",
    "kept": (
        "Your session had ended, and nothing was sent. What you typed is kept for an hour: "
        "sign in under the same name, and it is back in its form."
    ),
}
_WRONG_FROM: Final = 400


@pages.get("/sign-in")
@open_to_all
def ask() -> AnyResponse:
    """Show the two ways in."""
    if the_session() is not None:
        return redirect(url_for("farmers.today"), code=303)
    note = next((words for key, words in _WHY_HERE.items() if key in request.args), "")
    return _form(note=note, status=200)


@pages.post("/sign-in")
@open_to_all
def enter() -> AnyResponse:
    """Try what was typed: a one-time code where there is one, else name and password."""
    token = ids.token()
    try:
        result = _try(token)
    except Busy as busy:
        response = _form(note=str(busy), status=503)
        response.headers["Retry-After"] = "60"
        return response
    match result:
        case TooManyTries():
            return _slow_down(ceil(result.wait.total_seconds()))
        case WrongCode():
            logger().warning("sign_in_refused", way="code" if request.form.get("code") else "password")
            return _form(note=_WRONG_CODE if request.form.get("code") else _WRONG, status=403)
    on = page_to_set_up(result) or _way_back(request.form.get("to", ""))
    response = make_response(redirect(on, code=303))
    set_cookie(response, token)
    return response


@pages.post("/sign-out")
@officers_only
def leave() -> AnyResponse:
    """End the session, and have the browser forget all it kept of these pages; warn whoever could not come back."""
    session = the_session()
    if session and session.lacks is Lack.PASSWORD and "sure" not in request.form:
        return make_response(render_template("signin/leave.html"))
    sign_out()
    response = make_response(redirect(url_for("signin.ask", out=1), code=303))
    drop_cookie(response)
    response.headers["Clear-Site-Data"] = '"cache", "cookies", "storage"'
    return response


def _try(token: str) -> Answer:
    house = the_house()
    attempt = Attempt(
        code=request.form.get("code", ""),
        name=request.form.get("name", ""),
        password=request.form.get("password", ""),
        digits=request.form.get("digits", ""),
        address=subscriber(),
        browser=request.user_agent.string,
        token=token,
        csrf=ids.token(),
        row_id=house.ids.row(),
        replaces=cookie_token(),
    )
    now = house.real_clock.now()
    if not attempt.code:
        return sign_in_by_password(house.database.work, house.passwords, attempt, now)
    with house.database.work() as work:
        return sign_in(work, attempt, now)


def _form(*, note: str, status: int) -> Response:
    to = _way_back(request.values.get("to", ""))
    by_code = bool(request.values.get("code"))
    return make_response(
        render_template(
            "signin/ask.html",
            note=note,
            wrong=status >= _WRONG_FROM,
            to=to,
            name=request.form.get("name", ""),
            by_code=by_code,
        ),
        status,
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
