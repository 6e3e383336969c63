"""An officer's own account: setting it up after a one-time code, and keeping it."""

import re
import shutil
from base64 import b32decode
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from werkzeug.test import TestResponse

from service.core.rights import Role
from service.core.totp import counter_at, digits_at
from service.passwords import Busy
from service.web.app import create_app
from tests.stand_in_house import StandInHouse, make_house
from tests.web_desk import Desk

GOOD = "kettle orbit mustard"
STEP = timedelta(seconds=30)


@pytest.fixture
def house(tmp_path: Path, empty_file: Path) -> Iterator[StandInHouse]:
    """A programme that is no demo: there everybody sets up their way in."""
    shutil.copy(empty_file, tmp_path / "trussline.db")
    made = make_house(f"sqlite:///{tmp_path / 'trussline.db'}", tmp_path, demo=False)
    yield made
    made.database.close()


class Person:
    """An officer at a browser; it speaks for the test."""

    def __init__(self, house: StandInHouse) -> None:
        """Sit down before `house`."""
        self.house = house
        self.desk = Desk(house=house, app=create_app(house))
        self.secret = b""

    def comes_with_a_code(self, name: str = "Grace", role: Role | None = None) -> TestResponse:
        """Sign in for the first time."""
        _, code = self.house.officer_code(name, role=role)
        return self.desk.send("/sign-in", token="", code=code)

    def sets_password(self, new: str = GOOD, again: str | None = None, **shown: str) -> TestResponse:
        """Send the form for a new password."""
        return self.desk.send("/account/password", new=new, again=new if again is None else again, **shown)

    def after_password(self) -> str:
        """Set a password, and return the page that follows."""
        return self.desk.text(self.sets_password().location)

    def sets_factor(self, **shown: str) -> str:
        """Make a secret, put it into the app, and return the page that follows the digits."""
        page = self.desk.send("/account/second-factor", present=GOOD, **shown).text
        found = re.search(r'class="secret"><code>([A-Z2-7 ]+)<', page)
        assert found, page
        self.secret = b32decode(found[1].replace(" ", ""))
        return self.desk.send("/account/second-factor/confirm", digits=self.digits()).text

    def digits(self) -> str:
        """Return what the app shows."""
        return digits_at(self.secret, counter_at(self.house.real_clock.now()))

    def signs_in(self, password: str = GOOD, name: str = "Grace", digits: str = "") -> TestResponse:
        """Sign in with a password."""
        return self.desk.send("/sign-in", token="", name=name, password=password, digits=digits)


@pytest.fixture
def grace(house: StandInHouse) -> Person:
    """An officer who has set a password; an administrator was there before her."""
    Person(house).comes_with_a_code("Boss")
    person = Person(house)
    person.comes_with_a_code()
    person.sets_password()
    return person


def test_nothing_is_seen_before_the_account_is_set_up(house: StandInHouse) -> None:
    """An administrator sets password and second factor before any page opens; then all of them do."""
    boss = Person(house)
    led_to = boss.comes_with_a_code("Boss").location
    everywhere = ("/", "/farmers", "/account", "/account/second-factor", "/no-such-page")
    before = [boss.desk.get(path).location for path in everywhere]
    posted = boss.desk.send("/account/sessions", which="others").location
    after_password = boss.desk.get(boss.sets_password().location).location
    between = [boss.desk.get(path).location for path in ("/", "/account", "/account/password")]
    last_step = boss.desk.text("/account/second-factor")
    recovery = boss.sets_factor()

    assert ["/account/password"] * 2 == [led_to, posted]
    assert [*["/account/password"] * 4, None] == before
    assert ["/account/second-factor"] * 4 == [after_password, *between]
    assert "Your password is kept. One thing is left" in last_step
    assert 8 == len(re.findall(r"<li><code>[A-Z2-9-]+</code></li>", recovery))
    assert 200 == boss.desk.get("/").status_code


def test_whoever_sets_up_can_still_leave(house: StandInHouse) -> None:
    """Signing out is open before anything is set up."""
    boss = Person(house)
    boss.comes_with_a_code("Boss")

    assert "/sign-in?out=1" == boss.desk.send("/sign-out", sure="yes").location


def test_what_the_next_sign_in_asks_for_is_told(house: StandInHouse) -> None:
    """After the last step one sentence says that it is kept, and what to come with the next time."""
    boss, grace = Person(house), Person(house)
    boss.comes_with_a_code("Boss")
    boss.sets_password()
    recovery = boss.sets_factor()
    (on,) = re.findall(r'<a class="do" href="([^"]+)">I have written', recovery)
    grace.comes_with_a_code()
    told = [
        " ".join(re.sub(r"<[^>]+>", "", page).split())
        for page in (boss.desk.text(on), grace.after_password())
    ]

    assert "It is kept. The next sign-in asks for your name, Boss, your password, and six digits" in told[0]
    assert (
        "It is kept. The next sign-in asks for your name, Grace, and your password. Go on to Today" in told[1]
    )
    assert "It is kept" not in grace.desk.text("/account")


def test_officer_needs_no_second_factor(grace: Person) -> None:
    """Who neither approves nor administers goes on with a password alone."""
    assert 200 == grace.desk.get("/").status_code


def test_password_opens_the_pages(grace: Person, house: StandInHouse) -> None:
    """On another browser name and password lead to today; a wrong one says no more than that."""
    other = Person(house)
    wrong, right = other.signs_in("kettle orbit"), other.signs_in()

    assert 403 == wrong.status_code
    assert "That did not match" in wrong.text
    assert 'value="Grace"' in wrong.text
    assert (303, "/") == (right.status_code, right.location)
    assert 200 == grace.desk.get("/account").status_code


def test_second_factor_opens_the_pages(house: StandInHouse) -> None:
    """With a second factor set, the digits of the moment are needed, and work once."""
    boss = Person(house)
    boss.comes_with_a_code("Grace")
    boss.sets_password()
    boss.sets_factor()
    house.real_clock.advance(STEP)
    other = Person(house)

    assert 403 == other.signs_in().status_code
    assert 303 == other.signs_in(digits=boss.digits()).status_code
    assert 403 == Person(house).signs_in(digits=boss.digits()).status_code


@pytest.mark.parametrize(
    ("new", "again", "told"),
    [
        (GOOD, GOOD + "!", "The two new passwords differ"),
        ("short", "short", "at least 12 characters"),
        ("Grace Grace 12", "Grace Grace 12", "mostly a name"),
        ("password1234", "password1234", "among the first"),
    ],
    ids=["differ", "short", "name", "common"],
)
def test_bad_password_is_told(new: str, again: str, told: str, house: StandInHouse) -> None:
    """A password that cannot be taken is told in a sentence, and nothing typed comes back on the page."""
    person = Person(house)
    person.comes_with_a_code()
    response = person.sets_password(new, again)

    assert 400 == response.status_code
    assert told in response.text
    assert f'value="{new}"' not in response.text


def test_password_is_changed_with_the_present_one(grace: Person) -> None:
    """Who has a password shows it to change it."""
    without = grace.sets_password("nine lazy goats", present="guess")
    with_it = grace.sets_password("nine lazy goats", present=GOOD)

    assert (400, 303) == (without.status_code, with_it.status_code)
    assert 403 == grace.signs_in().status_code
    assert 303 == grace.signs_in("nine lazy goats").status_code


def test_sessions_are_listed_and_ended(grace: Person, house: StandInHouse) -> None:
    """The account shows where its officer is signed in; one of them, or all others, can be ended."""
    others = [Person(house) for _ in range(3)]
    for other in others:
        other.signs_in()
    page = grace.desk.text("/account")
    handles = re.findall(r'name="which" value="([0-9a-f]{16})"', page)
    grace.desk.send("/account/sessions", which=handles[0])
    after_one = [other.desk.get("/account").status_code for other in others]
    grace.desk.send("/account/sessions", which="others")

    assert 3 == len(handles)
    assert "this browser" in page
    assert [200, 200, 303] == sorted(after_one)
    assert [303, 303, 303] == [other.desk.get("/account").status_code for other in others]
    assert 200 == grace.desk.get("/account").status_code


def test_where_one_is_signed_in_is_told_plainly(grace: Person, house: StandInHouse) -> None:
    """The account names browser and device, and when it was seen last, and not the string that browsers send."""
    other = Person(house)
    other.desk.client.environ_base["HTTP_USER_AGENT"] = (
        "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Mobile Safari/537.36"
    )
    other.signs_in()
    house.real_clock.advance(timedelta(minutes=20))
    page = grace.desk.text("/account")

    assert "<b>Chrome on Android</b>" in page
    assert "last seen 20 minutes ago, signed in 20 minutes ago" in page
    assert "AppleWebKit" not in page


def test_secret_needs_its_digits(grace: Person) -> None:
    """Wrong digits show the same secret again, so that a slip does not cost the whole way."""
    first = grace.desk.send("/account/second-factor", present=GOOD).text
    again = grace.desk.send("/account/second-factor/confirm", digits="000000")
    secrets = [re.findall(r'class="secret"><code>([A-Z2-7 ]+)<', page) for page in (first, again.text)]

    assert 400 == again.status_code
    assert secrets[0] == secrets[1] != []
    assert "not the digits of this moment" in again.text


def test_demo_lets_its_first_administrator_wait(tmp_path: Path, empty_file: Path) -> None:
    """Its own first code leads straight to the pages, which say what is missing; everybody else sets a password."""
    shutil.copy(empty_file, tmp_path / "demo.db")
    demo = make_house(f"sqlite:///{tmp_path / 'demo.db'}", tmp_path)
    person = Person(demo)
    person.comes_with_a_code()

    second = Person(demo)
    landed = second.comes_with_a_code("Juma")
    held = second.desk.get("/")
    second.sets_password()

    assert "Set a password</a> before you sign out" in person.desk.text("/")
    assert "/account/password" == landed.location == held.location
    assert 200 == second.desk.get("/").status_code
    demo.database.close()


def test_signing_out_without_a_password_is_warned_of(house: StandInHouse) -> None:
    """The code is used up: the session goes on until it is said once more."""
    person = Person(house)
    person.comes_with_a_code()
    page = person.desk.text("/account/password")
    token = page.partition('name="token" value="')[2].partition('"')[0]
    warned = person.desk.send("/sign-out", token=token)
    stays = person.desk.get("/account/password").status_code
    gone = person.desk.send("/sign-out", token=token, sure="yes")

    assert 200 == warned.status_code
    assert "You have no password yet" in warned.text
    assert 200 == stays
    assert "/sign-in?out=1" == gone.location


def test_a_locked_out_officer_gets_a_new_way_in(house: StandInHouse) -> None:
    """From an administrator, who sees the code once; the page loaded anew makes no second one, and the first works.

    It is kept in the record, and nobody does it for themselves.
    """
    boss, juma = Person(house), Person(house)
    boss.comes_with_a_code("Boss")
    boss.sets_password()
    boss.sets_factor()
    juma.comes_with_a_code("Juma")
    juma.sets_password()
    page = boss.desk.text("/officers")
    (path,) = re.findall(r'action="(/officers/\d+/new-way-in)"', page)
    (codes,) = re.findall(r'name="codes" value="([^"]*)"', page)
    answer = boss.desk.send(path, codes=codes)
    reloaded = boss.desk.send(path, codes=codes)
    found = re.search(r'class="secret"><code>([^<]+)<', answer.text)
    assert found
    back = juma.desk.send("/sign-in", token="", code=found[1])
    with house.database.look() as work:
        own = next(one.id for one in work.staff.officers() if one.name == "Boss")
        rows = [(row.action, row.officer_id) for row in work.audit.rows()]

    assert 409 == reloaded.status_code
    assert "its code stands: no other was made" in reloaded.text
    assert 'class="secret"' not in reloaded.text
    assert 1 == rows.count(("officer.reset", own))
    assert "/account/password" == back.location
    assert found[1] not in boss.desk.text("/officers")
    assert 409 == boss.desk.send(f"/officers/{own}/new-way-in").status_code


def test_recovery_codes_sent_for_twice_are_told_of(grace: Person) -> None:
    """A page loaded anew says that the codes were shown, and how to come by fresh ones."""
    grace.sets_factor()
    again = grace.desk.send("/account/second-factor/confirm", digits="000000")

    assert 409 == again.status_code
    assert "shown once and are kept nowhere" in again.text


def test_what_is_not_for_a_role_is_refused(house: StandInHouse) -> None:
    """A page of another role is refused with a sentence and does not open."""
    demo = make_house(house.settings.database, house.settings.data_dir)
    Person(demo).comes_with_a_code("Boss")
    person = Person(demo)
    person.comes_with_a_code("Juma")
    person.sets_password()
    response = person.desk.get("/practice")

    assert 403 == response.status_code
    assert "not for your role" in response.text
    demo.database.close()


def test_busy_server_says_when_to_come_back(house: StandInHouse) -> None:
    """While too many passwords are looked at, nothing is tried, and the page says what to do."""
    person = Person(house)
    person.comes_with_a_code()
    person.sets_password()
    object.__setattr__(house, "passwords", Crowd())
    response = Person(house).signs_in()

    assert (503, "60") == (response.status_code, response.headers["Retry-After"])
    assert "Try again in a minute" in response.text


class Crowd:
    """Hashes nothing: everybody is signing in."""

    def hash(self, password: str) -> str:
        """Refuse."""
        raise Busy

    def matches(self, kept: str | None, password: str) -> bool:
        """Refuse."""
        raise Busy
