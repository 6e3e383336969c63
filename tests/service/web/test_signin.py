"""Signing in and out on the pages."""

from datetime import timedelta

import pytest

from tests.stand_in_house import StandInHouse
from tests.web_desk import Desk


def test_code_opens_the_pages(door: Desk) -> None:
    """A code leads to today; the page greets the officer by name."""
    response = door.sign_in("Officer Mto")

    assert (303, "/") == (response.status_code, response.location)
    assert "Officer Mto" in door.text("/")


def test_wrong_code_says_so_without_saying_why(door: Desk) -> None:
    """A wrong code is refused in a sentence and leaves no cookie."""
    response = door.send("/sign-in", token="", code="WRONG")

    assert 403 == response.status_code
    assert "That code does not work" in response.text
    assert "Set-Cookie" not in response.headers


def test_ten_wrong_codes_slow_the_address_down(door: Desk, house: StandInHouse) -> None:
    """The eleventh try is answered with 429 and when to come back, even with the right code; later it works."""
    _, code = house.officer_code()
    for _ in range(10):
        door.send("/sign-in", token="", code="WRONG")
    slowed = door.send("/sign-in", token="", code=code)
    house.real_clock.advance(timedelta(minutes=15))
    later = door.send("/sign-in", token="", code=code)

    assert (429, "900") == (slowed.status_code, slowed.headers["Retry-After"])
    assert "Try again in 15 minutes" in slowed.text
    assert 303 == later.status_code


def test_ipv6_subscriber_is_one_address(door: Desk) -> None:
    """Guessing from many addresses of one /64, which one subscriber has, is one guesser."""
    for host in range(10):
        door.client.post(
            "/sign-in",
            data={"code": "WRONG"},
            headers={"Origin": "http://localhost"},
            environ_base={"REMOTE_ADDR": f"2001:db8::{host:x}"},
        )
    statuses = [
        door.client.post(
            "/sign-in",
            data={"code": "WRONG"},
            headers={"Origin": "http://localhost"},
            environ_base={"REMOTE_ADDR": address},
        ).status_code
        for address in ("2001:db8::ffff", "2001:db8:0:1::1")
    ]

    assert [429, 403] == statuses


def test_address_that_is_no_ip_is_slowed_down_too(door: Desk) -> None:
    """Behind a local socket there is no IP address; guesses are counted all the same."""
    statuses = [
        door.client.post(
            "/sign-in",
            data={"code": "WRONG"},
            headers={"Origin": "http://localhost"},
            environ_base={"REMOTE_ADDR": "localhost"},
        ).status_code
        for _ in range(11)
    ]

    assert [*[403] * 10, 429] == statuses


@pytest.mark.parametrize(
    ("to", "lands"),
    [
        ("/farmers/3?plot=2", "/farmers/3?plot=2"),
        ("", "/"),
        ("//evil.example/", "/"),
        ("/\\evil.example", "/"),
        ("https://evil.example/", "/"),
        ("/a\r\nSet-Cookie: x=y", "/"),
    ],
    ids=["page", "none", "other host", "backslash", "other site", "header"],
)
def test_way_back_stays_here(to: str, lands: str, door: Desk, house: StandInHouse) -> None:
    """After signing in one lands where one wanted to go, and never on another site."""
    _, code = house.officer_code()

    assert lands == door.send("/sign-in", token="", code=code, to=to).location


def test_sign_out_forgets_everything(desk: Desk) -> None:
    """Signing out ends the session on the server, drops the cookie and clears what the browser kept."""
    token = desk.client.get_cookie("trussline")
    response = desk.send("/sign-out")
    assert token is not None
    desk.client.set_cookie("trussline", token.value)

    assert '"cache", "cookies", "storage"' == response.headers["Clear-Site-Data"]
    assert "Max-Age=0" in response.headers["Set-Cookie"]
    assert 303 == desk.get("/").status_code


def test_signed_in_needs_no_sign_in(desk: Desk) -> None:
    """The sign-in page leads an officer on to today."""
    assert "/" == desk.get("/sign-in").location
