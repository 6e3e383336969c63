"""The signed-in officer's session: its cookie, and the token that every form must bring back."""

import base64
import hashlib
import hmac
import ipaddress
from typing import Final, cast

from flask import Response, g, request

from service import ids
from service.core.staff import FORM_KEPT, LONGEST, Session
from service.use_cases import sessions
from service.web.house import House, the_house

FORM_FIELD: Final = "token"
_MASK_BYTES: Final = 32
# An IPv6 subscriber has a whole /64 to guess from.
_SUBSCRIBER_BITS: Final = 64


def cookie_name() -> str:
    """Return the cookie's name; the prefix binds it to this host and to https (RFC 6265bis 4.1.3.2).

    Plain http is served on loopback only, where the prefix cannot be had.
    """
    return "__Host-trussline" if request.is_secure else "trussline"


def cookie_token() -> str | None:
    """Return the session token that the browser brought along."""
    return request.cookies.get(cookie_name())


def load_session(house: House) -> None:
    """Find the session of this request."""
    token, now = cookie_token(), house.real_clock.now()
    g.session = None
    if token is None:
        return
    with house.database.look() as work:
        g.session = sessions.find_session(work.logins, token, now)


def see_session(house: House, session: Session) -> None:
    """Keep the session from falling idle.

    This is the only thing a GET ever writes: at most every five minutes, and not for the parts of a page that
    fetch themselves, or a forgotten practice phone would keep its officer signed in all day.
    """
    now = house.real_clock.now()
    if not session.wants_refresh(now) or is_fragment():
        return
    with house.database.work() as work:
        sessions.see_session(work, session, now)


def is_fragment() -> bool:
    """Return whether the page's script asks for a part of a page."""
    return request.headers.get("X-Part") == "live"


def the_session() -> Session | None:
    """Return the session of this request; None when nobody is signed in."""
    return cast("Session | None", g.get("session"))


def set_cookie(response: Response, token: str) -> None:
    """Give the browser its token; scripts never see it."""
    response.set_cookie(
        cookie_name(),
        token,
        # Past its end it still says whose form came too late.
        max_age=LONGEST + FORM_KEPT,
        path="/",
        secure=request.is_secure,
        httponly=True,
        samesite="Lax",
    )


def drop_cookie(response: Response) -> None:
    """Take the token from the browser again."""
    response.delete_cookie(cookie_name(), path="/", secure=request.is_secure, httponly=True, samesite="Lax")


def form_token() -> str:
    """Return the form token of the session, which there must be, under a fresh mask.

    Masked, it looks different on every page, so that the length of a compressed page tells nothing about it.
    """
    mask = ids.key()
    secret = _secret(cast("Session", g.session))
    return base64.urlsafe_b64encode(mask + _xor(mask, secret)).decode()


def form_token_matches(session: Session, given: str) -> bool:
    """Return whether a form brought the session's token back."""
    try:
        raw = base64.urlsafe_b64decode(given.encode())
    except ValueError:
        return False
    if len(raw) != 2 * _MASK_BYTES:
        return False
    return hmac.compare_digest(_xor(raw[:_MASK_BYTES], raw[_MASK_BYTES:]), _secret(session))


def _secret(session: Session) -> bytes:
    return hashlib.sha256(session.csrf.encode()).digest()


def _xor(left: bytes, right: bytes) -> bytes:
    return bytes(one ^ other for one, other in zip(left, right, strict=True))


def subscriber() -> str:
    """Return whom a request comes from: its address, or the whole network an IPv6 subscriber can choose from."""
    remote = request.remote_addr or ""
    try:
        found = ipaddress.ip_address(remote)
    except ValueError:
        return remote
    if isinstance(found, ipaddress.IPv6Address):
        return str(ipaddress.ip_network((found, _SUBSCRIBER_BITS), strict=False))
    return remote


def sign_out() -> None:
    """End the session of this request, which must have one."""
    with the_house().database.work() as work:
        sessions.sign_out(work, cast("Session", g.session))
