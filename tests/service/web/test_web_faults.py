"""Error pages: plain words, no traceback, and the fault in the log."""

import structlog

from service.web.app import create_app
from service.web.permissions import open_to_all
from tests.stand_in_house import StandInHouse
from tests.web_desk import Desk


def test_fault_of_ours_is_told_in_plain_words(house: StandInHouse) -> None:
    """A page that breaks says so without a word of code; the log has the traceback."""

    @open_to_all
    def broken() -> str:
        raise RuntimeError("secret of the database")

    app = create_app(house)
    app.add_url_rule("/broken", "broken", broken)
    with structlog.testing.capture_logs() as logs:
        response = Desk(house=house, app=app).get("/broken")

    assert 500 == response.status_code
    assert "Something broke here" in response.text
    assert "secret" not in response.text
    assert "no-store" == response.headers["Cache-Control"]
    assert [("page_failed", "broken")] == [(entry["event"], entry["endpoint"]) for entry in logs]
    assert isinstance(logs[0]["exc_info"], RuntimeError)


def test_wrong_way_names_the_right_one(door: Desk) -> None:
    """A method that a page does not take is refused with those it takes (RFC 9110 15.5.6)."""
    response = door.client.delete("/sign-in", headers={"Origin": "http://localhost"})

    assert 405 == response.status_code
    assert {"GET", "HEAD", "OPTIONS", "POST"} == {
        name.strip() for name in response.headers["Allow"].split(",")
    }


def test_styles_are_kept_by_browsers_for_good(door: Desk) -> None:
    """A file named by its content may be kept for a year; asked for by another name it is asked for again."""
    page = door.text("/sign-in")
    named = page.partition('rel="stylesheet" href="')[2].partition('"')[0]

    assert "public, max-age=31536000, immutable" == door.get(named).headers["Cache-Control"]
    assert "no-cache" == door.get("/static/console.css?v=old").headers["Cache-Control"]
    assert 404 == door.get("/static/app.py").status_code


def test_long_pages_are_packed_for_those_who_can_unpack(door: Desk) -> None:
    """Whoever does not take gzip gets the page as it is; caches are told that it differs."""
    plain = door.get("/sign-in", **{"Accept-Encoding": "gzip;q=0, br"})
    packed = door.get("/sign-in", **{"Accept-Encoding": "gzip"})

    assert "Content-Encoding" not in plain.headers
    assert "gzip" == packed.headers["Content-Encoding"]
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert len(packed.data) < len(plain.data)
