"""A sign-in from a place not seen before: who is told, and what is a place."""

from datetime import timedelta

import pytest

from service.core.rights import Role
from service.db.tables.staff import officer_place
from service.use_cases.places import place_of
from tests.stand_in_house import Planter, StandInHouse
from tests.web_desk import Desk

HOME, ELSEWHERE = "192.0.2.7", "198.51.100.9"
BROWSER = "Browser/12.1 (Linux)"


class Door:
    """Where officers come in from different places; it speaks for the test."""

    def __init__(self, desk: Desk) -> None:
        """Stand before the pages; the desk's officer, who came from elsewhere, is administrator."""
        self.desk, self.house = desk, desk.house

    def lets_in(self, name: str, address: str, browser: str = BROWSER) -> Desk:
        """Sign an officer in with a fresh code from an address; return their browser."""
        self.house.real_clock.advance(timedelta(minutes=10))
        seated = Desk(house=self.house, app=self.desk.app)
        seated.client.environ_base["REMOTE_ADDR"] = address
        seated.client.environ_base["HTTP_USER_AGENT"] = browser
        theirs = frozenset({next(iter(self.districts))})
        officer, code = self.house.officer_code(name, role=Role.OFFICER, districts=theirs)
        assert 303 == seated.send("/sign-in", token="", code=code).status_code
        self.house.set_up_account(officer)
        return seated

    @property
    def districts(self) -> list[int]:
        """The ids of all districts."""
        with self.house.database.look() as work:
            return [one.id for one in work.people.districts()]

    def record(self) -> int:
        """Return how many new places the record has."""
        with self.house.database.look() as work:
            return sum(row.action == "officer.new_place" for row in work.audit.rows())


@pytest.fixture
def door(desk: Desk, planter: Planter) -> Door:
    """The door of a programme with districts."""
    assert planter.districts
    return Door(desk)


def test_a_new_place_is_told_to_all_it_concerns(door: Door) -> None:
    """The record, the officer's account page and an administrator's Today say so; another officer reads nothing."""
    door.lets_in("Grace", HOME)
    before = (door.record(), "new place" in door.desk.text("/"))
    grace = door.lets_in("Grace", ELSEWHERE)
    juma = door.lets_in("Juma", HOME)
    own, today = grace.text("/account"), door.desk.text("/")

    assert (2, False) == before
    assert 4 == door.record()
    assert "you signed in from a place not seen before" in own
    assert "Signed in from a new place" in today
    assert "Grace, " in today
    assert "Juma, " not in today
    assert "not seen before" not in juma.text("/account")
    assert "new place" not in juma.text("/")
    assert "new place" not in grace.text("/")


def test_a_known_place_is_not_told(door: Door) -> None:
    """The same browser and network again, even after an update and under a neighbouring address, is no news."""
    door.lets_in("Grace", HOME)
    grace = door.lets_in("Grace", "192.0.2.200", "Browser/13.0 (Linux)")

    assert "not seen before" not in grace.text("/account")
    assert "new place" not in door.desk.text("/")


def test_another_browser_at_home_is_a_new_place(door: Door) -> None:
    """Both count: the network alone is shared by many."""
    door.lets_in("Grace", HOME)
    grace = door.lets_in("Grace", HOME, "Other/1.0 (Phone)")

    assert "not seen before" in grace.text("/account")


def test_it_leaves_the_pages_after_a_week(door: Door) -> None:
    """The record keeps it; the pages make room."""
    door.lets_in("Grace", HOME)
    door.lets_in("Grace", ELSEWHERE)
    door.house.real_clock.advance(timedelta(days=8))
    door.desk.sign_in("Officer Mlima")

    assert "new place" not in door.desk.text("/")


def test_only_keyed_digests_are_kept(door: Door, house: StandInHouse) -> None:
    """Neither address nor browser can be read out of the table, and two officers at one place share no digest."""
    door.lets_in("Grace", HOME)
    door.lets_in("Juma", HOME)
    with house.database.engine.connect() as connection:
        rows = connection.execute(officer_place.select()).all()

    assert len(rows) == len({row.digest for row in rows}) == 3
    assert {32} == {len(row.digest) for row in rows}


@pytest.mark.parametrize(
    ("address", "browser", "place"),
    [
        ("192.0.2.7", "Browser/12.1", "192.0.2.0/24 browser"),
        ("2001:db8:1:2::/64", "B 7", "2001:db8:1:2::/64 b"),
        ("2001:db8:1:2:3:4:5:6", "", "2001:db8:1:2::/64 "),
        ("", "B", " b"),
    ],
    ids=["network of 256 addresses", "a subscriber's network", "an address in it", "no address"],
)
def test_what_a_place_is(address: str, browser: str, place: str) -> None:
    """Addresses of RFC 5737 and RFC 3849, which are nobody's."""
    assert place == place_of(address, browser)
