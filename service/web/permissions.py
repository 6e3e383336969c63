"""Who may open a page. Every route must say so or the app is not built: what nobody thought of stays shut."""

from collections.abc import Callable
from enum import StrEnum
from typing import Any, Final, TypeVar

from flask import Flask, abort

from service.core.rights import Permission
from service.core.staff import Officer
from service.web.sessions import the_session

View = TypeVar("View", bound=Callable[..., Any])

_MARK: Final = "trussline_permission"


class Open(StrEnum):
    """Whom a route is for that no right guards."""

    ALL = "all"
    """Everybody, signed in or not."""
    OFFICERS = "officers"
    """Every officer who is signed in: their own account."""
    SIGNERS = "signers"
    """Machines that sign what they post: the route checks the signature itself."""


class NoPermission(LookupError):
    """A route was built without saying whom it is for; a programmer's mistake, found at start."""

    def __init__(self, rule: str, endpoint: str) -> None:
        """Name the route."""
        super().__init__(
            f"route {rule} ({endpoint}) declares no permission: add @needs(...), @officers_only or @open_to_all"
        )


def open_to_all(view: View) -> View:
    """Let everybody open this page, signed in or not."""
    setattr(view, _MARK, Open.ALL)
    return view


def open_to_signers(view: View) -> View:
    """Let machines post here; the view checks what they sign, see `service.web.hooks.signed`."""
    setattr(view, _MARK, Open.SIGNERS)
    return view


def officers_only(view: View) -> View:
    """Let every signed-in officer open this page, whatever their role."""
    setattr(view, _MARK, Open.OFFICERS)
    return view


def needs(permission: Permission) -> Callable[[View], View]:
    """Let only officers open this page whose role has `permission`."""

    def mark(view: View) -> View:
        setattr(view, _MARK, permission)
        return view

    return mark


def the_officer() -> Officer:
    """Return who is signed in; a view that no guard stands before gets 401."""
    session = the_session()
    return session.officer if session else abort(401)


def permission_of(app: Flask, endpoint: str) -> Permission | Open | None:
    """Return whom the endpoint is for; None if it never said."""
    found: Permission | Open | None = getattr(app.view_functions[endpoint], _MARK, None)
    return found


def check_permissions(app: Flask) -> None:
    """Make sure that every route has said whom it is for.

    Raises:
        NoPermission: one has not.
    """
    for rule in app.url_map.iter_rules():
        if permission_of(app, rule.endpoint) is None:
            raise NoPermission(rule.rule, rule.endpoint)
