"""What happens before every page: who may see it, and whether a form really comes from here."""

import ipaddress
from typing import Final
from urllib.parse import urlsplit

from flask import Flask, abort, current_app, redirect, request, url_for
from werkzeug.wrappers import Response

from service.core.rights import Permission
from service.core.staff import Lack, Session
from service.web.house import the_house
from service.web.kept import drop_what_was_kept, keep_what_was_typed
from service.web.menu import menu
from service.web.permissions import Open, permission_of
from service.web.sessions import (
    FORM_FIELD,
    form_token_matches,
    is_fragment,
    load_session,
    see_session,
    the_session,
)

_SAFE: Final = frozenset({"GET", "HEAD", "OPTIONS"})
# Whoever came in with a one-time code sets up their way in before they see anything.
# The first of each is where they are sent, and no others open until then but the way out.
_SET_UP: Final = {
    Lack.PASSWORD: ("account.password", "account.set_password"),
    Lack.SECOND_FACTOR: ("account.second_factor", "account.offer", "account.confirm"),
}
_HOME: Final = "farmers.today"
_WAY_OUT: Final = "signin.leave"
# Probes come from balancers that speak plain http; they carry no secret.
_PLAIN_ALLOWED: Final = frozenset({"health"})
# Machines have no session, and no form of ours: what they post is signed.
_NO_SESSION: Final = frozenset({"health", "hooks"})
_SIGNED: Final = frozenset({"hooks"})
_NOT_FOR_OFFICERS: Final = frozenset({Open.ALL, Open.SIGNERS})
_NOT_PLAIN: Final = "Open these pages with https. Without it they are only shown on the machine they run on."
_NOT_FROM_HERE: Final = (
    "That form was not sent from a page of this service. Open the page again and send it from there."
)
_NOT_YOURS: Final = "That is not for your role. Ask an administrator if it should be."
_STALE_FORM: Final = "That form is from an earlier sign-in. Open the page again and send it once more."


def install_guard(app: Flask) -> None:
    """Check every request of `app`, in this order."""
    app.before_request(_refuse_plain_http)
    app.before_request(_load)
    app.before_request(_refuse_foreign_forms)
    app.before_request(_check_permission)


def page_to_set_up(session: Session) -> str | None:
    """Return the page on which an officer has to set up what their way in lacks; None if it is whole."""
    if session.lacks is None or (the_house().settings.demo and _may_wait(session)):
        return None
    return url_for(_SET_UP[session.lacks][0])


def _may_wait(session: Session) -> bool:
    """Return whether a demo lets an officer in as they are: it asks for no second factor, and of its first nothing."""
    if session.lacks is not Lack.PASSWORD:
        return True
    with the_house().database.look() as work:
        return session.officer.id == min(one.id for one in work.staff.officers())


def _refuse_plain_http() -> None:
    if request.is_secure or request.blueprint in _PLAIN_ALLOWED or _is_loopback(_host()):
        return
    abort(403, _NOT_PLAIN)


def _load() -> None:
    if request.endpoint is not None and request.blueprint not in _NO_SESSION:
        load_session(the_house())


def _refuse_foreign_forms() -> None:
    if request.method not in _SAFE and request.blueprint not in _SIGNED and not _sent_from_here():
        abort(403, _NOT_FROM_HERE)


def _check_permission() -> Response | None:
    """Let officers in; send everybody else to the sign-in page."""
    if request.endpoint is None:
        return None
    wanted = permission_of(current_app, request.endpoint)
    if wanted in _NOT_FOR_OFFICERS:
        return None
    session = the_session()
    if session is None:
        return _send_to_sign_in()
    if request.method not in _SAFE:
        _check_form(session)
    see_session(the_house(), session)
    to_set_up = page_to_set_up(session)
    if to_set_up and session.lacks and request.endpoint not in (*_SET_UP[session.lacks], _WAY_OUT):
        return redirect(to_set_up, code=303)
    if isinstance(wanted, Permission) and not session.officer.may(wanted):
        return _not_theirs(session)
    return None


def _send_to_sign_in() -> Response:
    """Send whoever is not signed in where they can, what they typed being kept where it is known whose it is."""
    if is_fragment():
        abort(401)
    if request.method not in _SAFE:
        return keep_what_was_typed() or abort(401)
    return redirect(url_for("signin.ask", to=_path()), code=303)


def _check_form(session: Session) -> None:
    """Refuse a form that does not bring the session's token back."""
    if not form_token_matches(session, request.form.get(FORM_FIELD, "")):
        abort(403, _STALE_FORM)
    if not is_fragment():
        drop_what_was_kept(session.officer)


def _not_theirs(session: Session) -> Response:
    """Refuse a page; of the first of all whoever may not see it is led to the first of their own."""
    if request.endpoint != _HOME:
        abort(403, _NOT_YOURS)
    return redirect(menu(session.officer)[0].path, code=303)


def _sent_from_here() -> bool:
    """Return whether the browser says that this request comes from one of our own pages.

    Every browser sends Origin with a form (Fetch standard, "append a request Origin header"); one that
    withholds it, saying "null", may still vouch with Sec-Fetch-Site (W3C Fetch Metadata).
    """
    origin = request.headers.get("Origin", "null")
    if origin != "null":
        return origin == f"{request.scheme}://{request.host}"
    return request.headers.get("Sec-Fetch-Site") == "same-origin"


def _host() -> str:
    return urlsplit(f"//{request.host}").hostname or ""


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        # A name: it could be made to point here from anywhere (DNS rebinding), so it is not trusted.
        return False


def _path() -> str:
    return request.full_path.removesuffix("?")
