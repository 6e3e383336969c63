"""Who may open what, and whether a form really comes from here."""

import hashlib
from datetime import timedelta

import pytest
from flask import Flask

from service.db.tables import metadata
from service.web.permissions import NoPermission, check_permissions, open_to_all
from tests.stand_in_house import StandInHouse, fill
from tests.web_desk import Desk

OPEN = {"/sign-in", "/healthz", "/readyz", "/metrics", "/static/console.css"}
SHUT = {
    "/",
    "/account",
    "/account/password",
    "/account/second-factor",
    "/alerts",
    "/alerts/1",
    "/alerts/1/edit",
    "/alerts/1/progress",
    "/alerts/1/reached",
    "/alerts/1/state",
    "/alerts/new",
    "/calendar",
    "/card",
    "/collections",
    "/collections/1/2026-11-25",
    "/collections/1/edit",
    "/collections/new",
    "/collections/paid",
    "/collections/paid.csv",
    "/doubts",
    "/farmers",
    "/farmers/1",
    "/farmers/1/edit",
    "/farmers/1/number",
    "/farmers/1/pause",
    "/farmers/1/stop",
    "/farmers/1/year",
    "/farmers/new",
    "/farmers/silent",
    "/cohorts",
    "/forecast",
    "/plots/1/calendar",
    "/plots/1/edit",
    "/plots/1/weights",
    "/plots/1/money",
    "/plots/1/weights/1/back",
    "/officers",
    "/plots/1/edit/follows",
    "/plots/1/sprays",
    "/practice",
    "/prices",
    "/questions/Q001",
    "/report",
    "/report.csv",
    "/weather",
    "/practice/1",
    "/practice/1/thread",
    "/clock",
    "/clock/face",
}
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}


def test_route_without_permission_is_not_built() -> None:
    """A route that does not say whom it is for stops the start, by its name."""
    app = Flask("bare", static_folder=None)
    app.add_url_rule("/said", "said", open_to_all(lambda: ""))
    check_permissions(app)
    app.add_url_rule("/forgotten", "forgotten", lambda: "")

    with pytest.raises(NoPermission, match="/forgotten"):
        check_permissions(app)


def test_every_page_is_known_to_these_tests(door: Desk) -> None:
    """A new route must be put into one of the two lists above, so that it is tested."""
    rules = {rule.rule for rule in door.app.url_map.iter_rules() if "GET" in (rule.methods or ())}
    adapter = door.app.url_map.bind("localhost")
    reached = {adapter.match(path, return_rule=True)[0].rule for path in OPEN | SHUT}

    assert rules == reached


@pytest.mark.parametrize("path", sorted(SHUT))
def test_strangers_are_sent_to_sign_in(path: str, door: Desk) -> None:
    """Nobody sees a page before signing in; the page's own script is told so instead of being sent away."""
    response = door.get(path)
    fragment = door.get(path, **{"X-Part": "live"})

    assert 303 == response.status_code
    assert response.location.startswith("/sign-in?to=")
    assert 401 == fragment.status_code


@pytest.mark.parametrize("path", ["/clock", "/practice/1", "/sign-out"])
def test_strangers_cannot_send_forms(path: str, door: Desk) -> None:
    """A form of somebody who is not signed in is refused."""
    assert 401 == door.send(path, token="", text="x", step="hour").status_code


@pytest.mark.parametrize("path", [*sorted(OPEN | SHUT), "/no-such-page", "/farmers/x"])
@pytest.mark.parametrize("signed_in", [True, False], ids=["officer", "stranger"])
def test_headers_stand_on_every_response(path: str, signed_in: bool, door: Desk) -> None:  # noqa: FBT001
    """Policy, nosniff and referrer policy stand on all responses, errors included; pages are never stored."""
    if signed_in:
        door.sign_in()
    response = door.get(path)

    assert HEADERS == {name: response.headers.get(name) for name in HEADERS}
    assert ("no-cache" if "/static/" in path else "no-store") == response.headers["Cache-Control"]
    assert "Strict-Transport-Security" not in response.headers


@pytest.mark.parametrize(
    "token",
    ["", "x", "AAAA", "é", "A" * 87, "A" * 88],
    ids=["none", "junk", "short", "letters", "odd", "long"],
)
def test_form_without_its_token_is_refused(token: str, desk: Desk, house: StandInHouse) -> None:
    """A form that does not bring the session's token back changes nothing."""
    response = desk.send("/clock", token=token, step="day")

    assert 403 == response.status_code
    assert "earlier sign-in" in response.text
    assert house.kept_setting("clock_wish") is None


def test_token_of_another_session_is_refused(desk: Desk, house: StandInHouse) -> None:
    """The token of one officer's page does not open another officer's form."""
    foreign = type(desk)(house=house, app=desk.app)
    foreign.sign_in("Officer Mto")

    assert 403 == desk.send("/clock", token=foreign.token(), step="day").status_code


def test_token_looks_different_on_every_page(desk: Desk) -> None:
    """The token is masked afresh each time, and every one of them works."""
    first, second = desk.token(), desk.token()

    assert first != second
    assert 303 == desk.send("/clock", token=first, step="hour").status_code
    assert 303 == desk.send("/clock", token=second, step="hour").status_code


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://localhost"}, 303),
        ({"Origin": "https://localhost"}, 403),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({}, 403),
        ({"Origin": "null", "Sec-Fetch-Site": "same-origin"}, 303),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Origin": "http://evil.example", "Sec-Fetch-Site": "same-origin"}, 403),
    ],
    ids=[
        "ours",
        "other scheme",
        "foreign",
        "null",
        "none",
        "null but vouched for",
        "cross-site",
        "contradictory",
    ],
)
def test_form_must_come_from_here(headers: dict[str, str], status: int, desk: Desk) -> None:
    """A form is taken only from a page of ours, with the right token or without (Fetch standard, Origin header)."""
    fields = {"step": "hour", "token": desk.token()}

    assert status == desk.client.post("/clock", data=fields, headers=headers).status_code


@pytest.mark.parametrize(
    ("origin", "status"),
    [
        ("http://localhost", 303),
        ("http://127.0.0.1:8080", 303),
        ("http://[::1]:8080", 303),
        ("http://192.0.2.7", 403),
        ("http://berries.example", 403),
        ("http://localhost.evil.example", 403),
        ("https://berries.example", 303),
    ],
)
def test_plain_http_is_for_this_machine_only(
    origin: str, status: int, house: StandInHouse, door: Desk
) -> None:
    """Without https the pages are shown on loopback only, not even under a name that may point to it."""
    door.origin = origin

    assert status == door.get("/").status_code
    assert 200 == door.get("/healthz").status_code


def test_https_has_the_strict_cookie_and_transport(door: Desk) -> None:
    """Over https the cookie is bound to the host, and browsers are told to stay with https."""
    door.origin = "https://berries.example"
    response = door.sign_in()
    cookie = response.headers["Set-Cookie"]

    assert cookie.startswith("__Host-trussline=")
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= set(cookie.split("; "))
    assert "Domain" not in cookie
    assert response.headers["Strict-Transport-Security"].startswith("max-age=31536000")
    assert 200 == door.get("/").status_code


def test_plain_http_cookie_on_this_machine(door: Desk) -> None:
    """On loopback the cookie cannot be Secure; all else holds."""
    cookie = door.sign_in().headers["Set-Cookie"]

    assert cookie.startswith("trussline=")
    assert {"HttpOnly", "Path=/", "SameSite=Lax"} <= set(cookie.split("; "))
    assert "Secure" not in cookie


def _digest(house: StandInHouse) -> str:
    """Return a digest of all that is kept."""
    digest = hashlib.sha256()
    with house.database.engine.connect() as connection:
        for table in metadata.sorted_tables:
            for row in connection.execute(table.select()):
                digest.update(repr(row).encode())
    return digest.hexdigest()


def test_reading_pages_writes_nothing(desk: Desk, house: StandInHouse) -> None:
    """After opening every page the database is the same to the bit."""
    ids = fill(house)
    before = _digest(house)
    for path in (*OPEN, *SHUT, f"/farmers/{ids['asha']}", "/farmers?name=asha&page=2"):
        desk.get(path)

    assert before == _digest(house)


def test_only_pages_keep_a_session_alive(desk: Desk, house: StandInHouse) -> None:
    """A page seen keeps the session from falling idle; a part that fetches itself does not."""
    live = {"X-Part": "live"}
    house.real_clock.advance(timedelta(minutes=20))
    desk.get("/clock/face", **live)
    house.real_clock.advance(timedelta(minutes=9))
    desk.get("/clock")
    house.real_clock.advance(timedelta(minutes=20))
    while_seen = desk.get("/clock/face", **live).status_code
    house.real_clock.advance(timedelta(minutes=11))

    assert 200 == while_seen
    assert 401 == desk.get("/clock/face", **live).status_code
    assert 303 == desk.get("/").status_code
