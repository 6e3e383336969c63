"""Who may open a page. Every route must say so or the app is not built: what nobody thought of stays shut."""

from collections.abc import Callable
from enum import StrEnum
from typing import Any, Final, TypeVar

from flask import Flask

View = TypeVar("View", bound=Callable[..., Any])

_MARK: Final = "trussline_permission"


class Permission(StrEnum):
    """Who a route is for."""

    ALL = "all"
    OFFICERS = "officers"


class NoPermission(LookupError):
    """A route was built without saying whom it is for; a programmer's mistake, found at start."""

    def __init__(self, rule: str, endpoint: str) -> None:
        """Name the route."""
        super().__init__(
            f"route {rule} ({endpoint}) declares no permission: add @officers_only or @open_to_all"
        )


def open_to_all(view: View) -> View:
    """Let everybody open this page, signed in or not."""
    setattr(view, _MARK, Permission.ALL)
    return view


def officers_only(view: View) -> View:
    """Let only signed-in officers open this page."""
    setattr(view, _MARK, Permission.OFFICERS)
    return view


def permission_of(app: Flask, endpoint: str) -> Permission | None:
    """Return whom the endpoint is for; None if it never said."""
    found: Permission | None = getattr(app.view_functions[endpoint], _MARK, None)
    return found


def check_permissions(app: Flask) -> None:
    """Make sure that every route has said whom it is for.

    Raises:
        NoPermission: one has not.
    """
    for rule in app.url_map.iter_rules():
        if permission_of(app, rule.endpoint) is None:
            raise NoPermission(rule.rule, rule.endpoint)
