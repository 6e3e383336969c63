"""The page that stops at a number which is known already: who has it, as far as the officer may know."""

from collections.abc import Mapping
from http import HTTPStatus

from flask import Response, make_response, render_template

from service.web.house import the_house
from service.web.permissions import the_officer


def known_page(phone_id: int, *, name: str, action: str, fields: Mapping[str, str], go_on: str) -> Response:
    """Show who has the number, and let the officer say that this is another person on the same phone.

    Args:
        phone_id: the phone with that number.
        name: whom the officer meant.
        action: where the form goes once more, with `sharing`, or with `back` to what was typed.
        fields: what was typed.
        go_on: the words of the button that says so.
    """
    with the_house().database.look() as work:
        here = work.console.within(the_officer().districts).on_phone(phone_id)
        everybody = work.people.on_phone(phone_id)
    page = render_template(
        "register/known.html",
        name=name,
        action=action,
        fields=fields,
        go_on=go_on,
        holders=here,
        elsewhere=len(everybody) - len(here),
    )
    return make_response(page, HTTPStatus.CONFLICT)
