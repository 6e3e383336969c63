"""A browser before the pages of a house: Flask's test client, which speaks for a test."""

from dataclasses import dataclass, field

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.core.rights import Role
from service.web.app import create_app
from service.web.house import keep_house
from tests.stand_in_house import StandInHouse

ORIGIN = "http://localhost"
_PAGES: list[Flask] = []


def app_of(house: StandInHouse) -> Flask:
    """Return the pages, moved into `house`: routes and pages are compiled once a process and not once a test.

    A test with two houses at a time builds the pages of the second with `create_app`.
    """
    if _PAGES:
        keep_house(_PAGES[0].extensions, house)
    else:
        _PAGES.append(create_app(house))
    return _PAGES[0]


@dataclass
class Desk:
    """A browser before the pages; it speaks for the test."""

    house: StandInHouse
    app: Flask
    origin: str = ORIGIN
    client: FlaskClient = field(init=False)

    def __post_init__(self) -> None:
        """Open the browser."""
        self.client = self.app.test_client()

    def get(self, path: str, **headers: str) -> TestResponse:
        """Open a page."""
        return self.client.get(path, base_url=self.origin, headers=headers)

    def text(self, path: str) -> str:
        """Open a page that must be there, and return it."""
        response = self.get(path)
        assert 200 == response.status_code, f"{path}: {response.status}"
        return response.text

    def send(
        self, path: str, *, origin: str | None = None, token: str | None = None, **form: str
    ) -> TestResponse:
        """Send a form as a page of ours would: with our origin and the form token of the session."""
        fields = {**form, "token": self.token() if token is None else token}
        headers = {"Origin": origin or self.origin}
        return self.client.post(path, data=fields, base_url=self.origin, headers=headers)

    def token(self) -> str:
        """Return the form token that stands on a page; empty when nobody is signed in."""
        page = self.client.get("/account", base_url=self.origin, follow_redirects=True).text
        return page.partition('name="token" value="')[2].partition('"')[0]

    def sign_in(
        self,
        name: str = "Officer Mlima",
        *,
        role: Role | None = None,
        districts: frozenset[int] = frozenset(),
    ) -> TestResponse:
        """Sign in with a fresh code, as somebody whose account is set up; the first one is administrator."""
        officer, code = self.house.officer_code(name, role=role, districts=districts)
        response = self.send("/sign-in", token="", code=code)
        self.house.set_up_account(officer)
        return response
