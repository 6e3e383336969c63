"""Officers: one-time codes, sessions, and the slow-down for whoever guesses, on both engines."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from service.core.errors import Refused
from service.core.staff import Officer, Session
from service.db.sealing import Seal
from service.db.tables import metadata
from service.db.work import Database
from service.use_cases.officers import add_officer
from service.use_cases.sessions import find_session, see_session, sign_out
from service.use_cases.sign_in import Attempt, TooManyTries, WrongCode, sign_in

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
CODE = "ABCDE-FGHJK-LMNPQ-RSTUV-WXYZ2-3"
MINUTE = timedelta(minutes=1)
TOKEN = "token of one browser"


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """An empty database."""
    opened = Database(database_url, Seal(sealing_key=b"s" * 32, index_key=b"i" * 32))
    metadata.create_all(opened.engine)
    yield opened
    opened.close()


class Door:
    """Where officers sign in; it speaks for the test."""

    def __init__(self, database: Database) -> None:
        """Stand before `database`."""
        self._database = database
        self._numbers = count(1)

    def add(self, name: str = "Officer Mlima", code: str = CODE, now: datetime = NOW) -> Officer:
        """Add an officer and give them a code."""
        with self._database.work() as work:
            return add_officer(work, name=name, code=code, now=now)

    def tries(
        self,
        code: str = CODE,
        *,
        now: datetime = NOW,
        address: str = "192.0.2.1",
        token: str = TOKEN,
        replaces: str | None = None,
    ) -> Session | WrongCode | TooManyTries:
        """Try a code."""
        attempt = Attempt(
            code=code,
            address=address,
            token=token,
            csrf="csrf",
            row_id=next(self._numbers),
            replaces=replaces,
        )
        with self._database.work() as work:
            return sign_in(work, attempt, now)

    def session(self, now: datetime, token: str = TOKEN) -> Session | None:
        """Return the session a token opens."""
        with self._database.look() as work:
            return find_session(work.logins, token, now)


@pytest.fixture
def door(database: Database) -> Door:
    """The door of an empty database."""
    return Door(database)


@pytest.mark.parametrize(
    "typed", [CODE, CODE.lower(), CODE.replace("-", ""), f"  {CODE.replace('-', ' ')} "], ids=repr
)
def test_code_opens_however_it_is_typed(typed: str, door: Door) -> None:
    """Groups, case and spaces of a code do not matter; what it opens is a session of that officer."""
    officer = door.add()
    session = door.tries(typed)

    assert isinstance(session, Session)
    assert officer == session.officer
    assert session == door.session(NOW)


def test_code_works_once(door: Door) -> None:
    """A used code is as wrong as an unknown one, and says no more."""
    door.add()
    door.tries()

    assert WrongCode() == door.tries()
    assert WrongCode() == door.tries("no such code")


@pytest.mark.parametrize(
    ("age", "works"),
    [(timedelta(hours=24) - MINUTE, True), (timedelta(hours=24), False)],
    ids=["day", "later"],
)
def test_code_grows_old(age: timedelta, works: bool, door: Door) -> None:  # noqa: FBT001 - a case's outcome
    """A code works for a day."""
    door.add()

    assert works == isinstance(door.tries(now=NOW + age), Session)


def test_thousand_guesses_get_ten_looked_at(door: Door) -> None:
    """Of a thousand guesses within a quarter of an hour ten are looked at; the right one among the rest fails too."""
    door.add()
    results = [
        door.tries(f"guess {number}", now=NOW + timedelta(milliseconds=number)) for number in range(1000)
    ]

    assert 10 == results.count(WrongCode())
    assert isinstance(door.tries(now=NOW + MINUTE), TooManyTries)


def test_guessing_locks_nobody_out_for_good(door: Door) -> None:
    """A quarter of an hour after the first of ten wrong tries the address may try again; others always may."""
    door.add(code="OWN")
    door.add(code="OTHER")
    for number in range(10):
        door.tries(f"guess {number}", now=NOW + number * MINUTE)
    waiting = door.tries("OWN", now=NOW + 12 * MINUTE)

    assert TooManyTries(wait=3 * MINUTE) == waiting
    assert isinstance(door.tries("OTHER", now=NOW + 12 * MINUTE, address="192.0.2.2"), Session)
    assert isinstance(door.tries("OWN", now=NOW + 15 * MINUTE, token="t2"), Session)


@pytest.mark.parametrize(
    ("seen", "now", "alive"),
    [
        ([], 29, True),
        ([], 30, False),
        ([25, 50], 79, True),
        ([25, 50], 80, False),
        ([*range(25, 720, 25)], 719, True),
        ([*range(25, 720, 25)], 720, False),
    ],
    ids=["idle 29 min", "idle 30 min", "seen", "seen, then idle", "almost 12 h", "12 h"],
)
def test_session_ends_by_itself(
    seen: list[int],
    now: int,
    alive: bool,  # noqa: FBT001 - a case's outcome
    door: Door,
    database: Database,
) -> None:
    """Half an hour without a page ends a session, and twelve hours end it whatever happens."""
    door.add()
    door.tries()
    for minute in seen:
        session = door.session(NOW + minute * MINUTE)
        assert session is not None
        with database.work() as work:
            see_session(work, session, NOW + minute * MINUTE)

    assert alive == (door.session(NOW + now * MINUTE) is not None)


def test_session_wants_refresh_at_most_every_five_minutes(door: Door) -> None:
    """Reading pages writes "seen" every five minutes at most."""
    door.add()
    session = door.tries()

    assert isinstance(session, Session)
    assert not session.wants_refresh(NOW + 5 * MINUTE - timedelta(seconds=1))
    assert session.wants_refresh(NOW + 5 * MINUTE)


def test_signing_out_ends_the_session(door: Door, database: Database) -> None:
    """After signing out the token opens nothing."""
    door.add()
    session = door.tries()
    assert isinstance(session, Session)
    with database.work() as work:
        sign_out(work, session)

    assert door.session(NOW) is None


def test_signing_in_again_ends_the_session_before(door: Door) -> None:
    """The session that the browser brought along ends when another begins (no session fixation)."""
    door.add(code="FIRST")
    door.add(code="SECOND")
    door.tries("FIRST", token="old")
    door.tries("SECOND", token="new", replaces="old")

    assert door.session(NOW, "old") is None
    assert door.session(NOW, "new") is not None


def test_old_sessions_are_forgotten(door: Door) -> None:
    """A session is removed when somebody signs in an hour past its twelve: so long it says whose form came too late."""
    door.add(code="FIRST")
    door.tries("FIRST", token="old")
    later = NOW + timedelta(hours=13, minutes=1)
    door.add(code="SECOND", now=later)
    door.tries("SECOND", token="new", now=later)

    # At its own time it would hold still, were it there.
    assert door.session(NOW, "old") is None


def test_same_name_is_the_same_officer(door: Door, database: Database) -> None:
    """A second code for a name goes to the officer there is; spaces do not make another."""
    first, second = door.add("Officer Mlima"), door.add("  Officer   Mlima ", code="OTHER")

    assert first == second
    with database.look() as work:
        assert (first,) == work.staff.officers()


@pytest.mark.parametrize("name", ["", "   ", "x" * 81], ids=["empty", "spaces", "long"])
def test_name_is_checked(name: str, door: Door) -> None:
    """An officer without a name, or with an endless one, is refused in a sentence."""
    with pytest.raises(Refused, match="1 to 80 letters"):
        door.add(name)


def test_only_digests_are_kept(door: Door, database: Database) -> None:
    """Whoever reads the whole database finds neither code nor token."""
    door.add()
    door.tries(token="secret-token")
    with database.engine.connect() as connection:
        kept = [
            value
            for table in metadata.sorted_tables
            for row in connection.execute(table.select())
            for value in row
        ]

    assert not [value for value in kept if str(value) in (CODE, CODE.replace("-", ""), "secret-token")]
