"""Name, password and second factor: what opens, what slows down, and what is used up, on both engines."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from threading import Barrier, Thread

import pytest
from argon2 import PasswordHasher

from service.core.errors import Refused
from service.core.rights import Role
from service.core.staff import Lack, Session
from service.core.totp import counter_at, digits_at
from service.db.sealing import Seal
from service.db.tables import metadata
from service.db.work import Database
from service.passwords import Argon2
from service.use_cases.accounts import change_password, confirm_second_factor, offer_second_factor
from service.use_cases.officers import (
    add_officer,
    change_officer,
    disable_officer,
    give_phone,
    reset_officer,
)
from service.use_cases.sessions import ALL_OTHERS, end_own, find_session, open_sessions
from service.use_cases.sign_in import (
    Answer,
    Attempt,
    TooManyTries,
    WrongCode,
    sign_in,
    sign_in_by_password,
)

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
STEP = timedelta(seconds=30)
SECRET = b"12345678901234567890"
GOOD = "kettle orbit mustard"
CODES = ["AAAAA-BBBBB", "CCCCC-DDDDD"]


class Counting(Argon2):
    """Hashes with little work and counts how many passwords were looked at."""

    def __init__(self) -> None:
        """Begin at none."""
        super().__init__(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1), patience_s=60)
        self.looks = 0

    def matches(self, kept: str | None, password: str) -> bool:
        """Count, and look."""
        self.looks += 1
        return super().matches(kept, password)


class Door:
    """Where officers sign in; it speaks for the test."""

    def __init__(self, database: Database) -> None:
        """Stand before `database`."""
        self.database = database
        self.passwords = Counting()
        self._rows = count(1)

    def attempt(self, **typed: str) -> Attempt:
        """Return a try with fresh secrets."""
        row = next(self._rows)
        given = {"address": "192.0.2.1", "token": f"token {row}", "csrf": "c", **typed}
        return Attempt(row_id=row, **given)

    def arrive(self, name: str = "Grace", *, role: Role = Role.OFFICER, now: datetime = NOW) -> Session:
        """Invite an officer and let them in with the code."""
        code = f"CODE {next(self._rows)}"
        with self.database.work() as work:
            add_officer(work, name=name, code=code, now=now, role=role)
        with self.database.work() as work:
            session = sign_in(work, self.attempt(code=code), now)
        assert isinstance(session, Session)
        return session

    def sets_password(self, session: Session, new: str = GOOD, *, now: datetime = NOW, **shown: str) -> None:
        """Let an officer set a password."""
        attempt = self.attempt(name=session.officer.name, **shown)
        change_password(
            self.database.work,
            self.passwords,
            session,
            attempt,
            new,
            common=frozenset({"password1234"}),
            programme="Zaruvi Berry Programme",
            now=now,
        )

    def sets_factor(
        self, session: Session, *, secret: bytes = SECRET, now: datetime = NOW, **shown: str
    ) -> None:
        """Let an officer set up a second factor."""
        attempt = self.attempt(name=session.officer.name, **shown)
        offer_second_factor(self.database.work, self.passwords, session, attempt, secret=secret, now=now)
        with self.database.work() as work:
            confirm_second_factor(work, session, digits_at(secret, counter_at(now)), CODES, now)

    def tries(
        self, password: str = GOOD, *, name: str = "Grace", now: datetime = NOW, **typed: str
    ) -> Answer:
        """Try name and password."""
        attempt = self.attempt(name=name, password=password, **typed)
        return sign_in_by_password(self.database.work, self.passwords, attempt, now)

    def holds(self, session: Session, now: datetime = NOW) -> bool:
        """Return whether a session is still kept."""
        with self.database.look() as work:
            return any(
                one.digest == session.digest for one in open_sessions(work.logins, session.officer, now)
            )


@pytest.fixture
def door(database_url: str) -> Iterator[Door]:
    """The door of an empty database."""
    database = Database(database_url, Seal(sealing_key=b"s" * 32, index_key=b"i" * 32))
    metadata.create_all(database.engine)
    yield Door(database)
    database.close()


@pytest.fixture
def grace(door: Door) -> Session:
    """Grace, who has set a password an hour ago and has no second factor."""
    session = door.arrive(now=NOW - 60 * MINUTE)
    door.sets_password(session, now=NOW - 60 * MINUTE)
    return session


@pytest.fixture
def guarded(door: Door) -> Session:
    """Grace the administrator with password and second factor, set up an hour ago."""
    before = NOW - 60 * MINUTE
    session = door.arrive(role=Role.ADMINISTRATOR, now=before)
    door.sets_password(session, now=before)
    door.sets_factor(session, now=before, password=GOOD)
    return session


def digits(now: datetime, secret: bytes = SECRET) -> str:
    """Return what the app shows."""
    return digits_at(secret, counter_at(now))


@pytest.mark.parametrize("name", ["Grace", "  grace ", "GRACE"])
def test_name_and_password_open(name: str, grace: Session, door: Door) -> None:
    """Spaces and capitals of a name do not matter; what it opens is a session of that officer."""
    session = door.tries(name=name)

    assert isinstance(session, Session)
    assert grace.officer == session.officer
    assert session.lacks is None


@pytest.mark.parametrize(
    ("name", "password"),
    [("Grace", "kettle orbit mustar"), ("Grace", ""), ("Nobody", GOOD), ("", ""), ("Grace", GOOD.upper())],
    ids=["wrong", "none", "stranger", "nothing", "capitals"],
)
def test_what_is_wrong_is_not_told(name: str, password: str, grace: Session, door: Door) -> None:
    """A wrong name and a wrong password get the same answer, after the same work."""
    assert grace.officer.name == "Grace"
    assert WrongCode() == door.tries(password, name=name)
    assert 1 == door.passwords.looks


def test_officer_without_password_has_none_to_guess(door: Door) -> None:
    """Whoever came with a code and set no password cannot be signed in as with one."""
    door.arrive()

    assert WrongCode() == door.tries("")
    assert WrongCode() == door.tries("nobody has this password")


def test_thousand_guesses_at_once_get_ten_looked_at(grace: Session, door: Door) -> None:
    """However many browsers guess in the same moment, ten passwords are looked at (OWASP ASVS 5.0.0, 6.3.1)."""
    assert grace.officer.name == "Grace"
    start = Barrier(4)
    answers: list[Answer] = []

    def guess(part: int) -> None:
        start.wait()
        address = f"198.51.100.{part}"
        answers.extend(door.tries(f"guess {number}", address=address) for number in range(250))

    threads = [Thread(target=guess, args=(part,)) for part in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert 10 == door.passwords.looks
    assert 10 == answers.count(WrongCode())
    assert 990 == sum(isinstance(answer, TooManyTries) for answer in answers)


def test_hammering_keeps_nobody_out(grace: Session, door: Door) -> None:
    """A stranger who guesses slows the name down elsewhere, but not where its owner signed in from lately."""
    assert grace.address == "192.0.2.1"
    for number in range(10):
        door.tries(f"guess {number}", address="198.51.100.7")

    assert TooManyTries(wait=timedelta(minutes=15)) == door.tries(address="203.0.113.5")
    assert isinstance(door.tries(address="192.0.2.1"), Session)
    assert isinstance(door.tries(address="203.0.113.5", now=NOW + 15 * MINUTE), Session)


def test_a_neighbour_at_the_same_address_keeps_nobody_out(grace: Session, door: Door) -> None:
    """Wrong tries for other names from an address do not slow its known owner down; wrong ones for the name do."""
    assert grace.address == "192.0.2.1"
    for number in range(10):
        door.tries(f"guess {number}", name="Nobody", address="192.0.2.1")

    assert isinstance(door.tries(name="Nobody", address="192.0.2.1"), TooManyTries)
    assert isinstance(door.tries(address="192.0.2.1"), Session)
    for number in range(10):
        door.tries(f"guess {number}", address="192.0.2.1")
    assert isinstance(door.tries(address="192.0.2.1"), TooManyTries)


def test_second_factor_is_asked_for(guarded: Session, door: Door) -> None:
    """With a second factor a password alone opens nothing, and the digits of another secret neither."""
    assert guarded.officer.role is Role.ADMINISTRATOR
    assert WrongCode() == door.tries()
    assert WrongCode() == door.tries(digits=digits(NOW, b"another secret......"))
    assert isinstance(door.tries(digits=digits(NOW)), Session)


def test_digits_work_once(guarded: Session, door: Door) -> None:
    """Digits that were used, and those of the step before, open nothing any more; the next ones do (RFC 6238 5.2)."""
    assert guarded.lacks is not None
    assert isinstance(door.tries(digits=digits(NOW)), Session)

    assert WrongCode() == door.tries(digits=digits(NOW))
    assert WrongCode() == door.tries(digits=digits(NOW - STEP))
    assert isinstance(door.tries(digits=digits(NOW + STEP), now=NOW + STEP), Session)


def test_wrong_password_uses_no_digits_up(guarded: Session, door: Door) -> None:
    """Whoever mistypes the password can use the same digits again."""
    assert guarded.lacks is not None
    door.tries("kettle orbit", digits=digits(NOW))

    assert isinstance(door.tries(digits=digits(NOW)), Session)


def test_recovery_code_works_once(guarded: Session, door: Door) -> None:
    """A recovery code stands in for the digits, however it is typed, once."""
    assert isinstance(door.tries(digits=CODES[0].lower().replace("-", " ")), Session)
    assert WrongCode() == door.tries(digits=CODES[0])
    with door.database.look() as work:
        assert 1 == work.logins.recovery_codes_left(guarded.officer.id)


def test_recovery_code_is_its_owners(guarded: Session, door: Door) -> None:
    """Another officer's recovery code is no use, and stays theirs."""
    assert guarded.officer.name == "Grace"
    before = NOW - 60 * MINUTE
    other = door.arrive("Juma", role=Role.APPROVER, now=before)
    door.sets_password(other, "nine lazy goats", now=before)
    attempt = door.attempt(name="Juma", password="nine lazy goats")
    secret = b"another secret......"
    offer_second_factor(door.database.work, door.passwords, other, attempt, secret=secret, now=before)
    with door.database.work() as work:
        confirm_second_factor(work, other, digits(before, secret), ["EEEEE"], before)

    assert WrongCode() == door.tries("nine lazy goats", name="Juma", digits=CODES[0])
    assert isinstance(door.tries(digits=CODES[0]), Session)


def test_one_time_code_needs_the_digits_too(guarded: Session, door: Door) -> None:
    """A fresh code for somebody with a second factor opens nothing without it, and is not used up by that."""
    with door.database.work() as work:
        add_officer(work, name=guarded.officer.name, code="FRESH", now=NOW)

    def enter(typed: str) -> Answer:
        with door.database.work() as work:
            return sign_in(work, door.attempt(code="FRESH", digits=typed), NOW)

    assert WrongCode() == enter("")
    assert isinstance(enter(digits(NOW)), Session)


@pytest.mark.parametrize(
    ("role", "lacks"),
    [(Role.OFFICER, None), (Role.APPROVER, Lack.SECOND_FACTOR), (Role.ADMINISTRATOR, Lack.SECOND_FACTOR)],
)
def test_what_has_to_be_set_up(role: Role, lacks: Lack | None, door: Door) -> None:
    """Everybody sets a password; whoever approves or administers sets a second factor too (ASVS 5.0.0, 6.3.3)."""
    session = door.arrive(role=role)
    door.sets_password(session)
    later = door.tries()

    assert Lack.PASSWORD == session.lacks
    assert isinstance(later, Session)
    assert lacks == later.lacks


def test_change_asks_for_what_is_there(guarded: Session, door: Door) -> None:
    """Neither password nor second factor can be changed from a browser left open (ASVS 5.0.0, 7.5.1)."""
    with pytest.raises(Refused, match="did not match"):
        door.sets_password(guarded, "nine lazy goats", password="wrong", digits=digits(NOW))
    with pytest.raises(Refused, match="did not match"):
        door.sets_password(guarded, "nine lazy goats", password=GOOD)
    with pytest.raises(Refused, match="did not match"):
        door.sets_factor(guarded, secret=b"x" * 20, now=NOW, password=GOOD)
    door.sets_password(guarded, "nine lazy goats", password=GOOD, digits=digits(NOW))

    assert WrongCode() == door.tries(digits=digits(NOW + STEP), now=NOW + STEP)
    assert isinstance(door.tries("nine lazy goats", digits=digits(NOW + STEP), now=NOW + STEP), Session)


def test_change_is_no_way_to_guess(grace: Session, door: Door) -> None:
    """Guessing the present password on the page of the account is slowed down like any guessing."""
    for number in range(10):
        with pytest.raises(Refused, match="did not match"):
            door.sets_password(grace, "nine lazy goats", password=f"guess {number}", now=NOW)
    with pytest.raises(Refused, match="too often"):
        door.sets_password(grace, "nine lazy goats", password=GOOD, now=NOW)


def test_weak_password_is_refused(door: Door) -> None:
    """A password that is guessed first is refused with a sentence, and none is set."""
    session = door.arrive()
    with pytest.raises(Refused, match="among the first"):
        door.sets_password(session, "Password 1234")

    assert WrongCode() == door.tries("Password 1234")


def test_secret_counts_once_it_is_confirmed(grace: Session, door: Door) -> None:
    """A secret whose digits were never typed asks nobody for digits."""
    attempt = door.attempt(name="Grace", password=GOOD)
    offer_second_factor(door.database.work, door.passwords, grace, attempt, secret=SECRET, now=NOW)
    with pytest.raises(Refused, match="not the digits"), door.database.work() as work:
        confirm_second_factor(work, grace, "000000", CODES, NOW)

    assert isinstance(door.tries(), Session)


def test_new_password_ends_other_sessions(grace: Session, door: Door) -> None:
    """The browser where the password is set goes on; everywhere else it is asked for (ASVS 5.0.0, 7.4.3)."""
    other = door.tries()
    assert isinstance(other, Session)
    door.sets_password(grace, "nine lazy goats", password=GOOD, now=NOW)

    assert not door.holds(other)
    with door.database.look() as work:
        assert work.logins.session(grace.digest) is not None


def _change(door: Door, name: str) -> None:
    with door.database.work() as work:
        change_officer(work, name, now=NOW, role=Role.APPROVER)


def _move(door: Door, name: str) -> None:
    with door.database.work() as work:
        work.people.add_district("Ndaliro", "Africa/Dar_es_Salaam", None)
        change_officer(work, name, now=NOW, districts=frozenset({1}))


def _disable(door: Door, name: str) -> None:
    with door.database.work() as work:
        disable_officer(work, name, now=NOW)


def _reset(door: Door, name: str) -> None:
    with door.database.work() as work:
        reset_officer(work, name, code="NEW", now=NOW)


@pytest.mark.parametrize(
    "deed", [_change, _move, _disable, _reset], ids=["role", "districts", "disabled", "reset"]
)
def test_other_rights_end_all_sessions(deed: object, door: Door) -> None:
    """Whoever gets other rights, or none, is signed out everywhere at once; others are not."""
    assert callable(deed)
    door.arrive("Boss", role=Role.ADMINISTRATOR)
    grace, juma = door.arrive("Grace"), door.arrive("Juma")
    deed(door, "Grace")
    with door.database.look() as work:
        assert None is work.logins.session(grace.digest)
        assert juma == work.logins.session(juma.digest)


def test_disabled_officer_stays_outside(grace: Session, door: Door) -> None:
    """Neither password nor a code from before opens anything; a reset lets them in again, with everything anew."""
    door.arrive("Boss", role=Role.ADMINISTRATOR)
    with door.database.work() as work:
        add_officer(work, name="Grace", code="BEFORE", now=NOW)
    with door.database.work() as work:
        disable_officer(work, "Grace", now=NOW)
    with door.database.work() as work:
        by_code = sign_in(work, door.attempt(code="BEFORE"), NOW)
    with door.database.work() as work, pytest.raises(Refused, match="is disabled"):
        add_officer(work, name="Grace", code="AFTER", now=NOW)

    assert (WrongCode(), WrongCode()) == (by_code, door.tries())
    with door.database.work() as work:
        reset_officer(work, "Grace", code="BACK", now=NOW)
    with door.database.work() as work:
        back = sign_in(work, door.attempt(code="BACK"), NOW)
    assert isinstance(back, Session)
    assert (grace.officer, Lack.PASSWORD) == (back.officer, back.lacks)


def test_somebody_is_left_to_administer(door: Door) -> None:
    """The last administrator can neither be disabled nor become less."""
    door.arrive("Boss", role=Role.ADMINISTRATOR)
    with door.database.work() as work, pytest.raises(Refused, match="last administrator"):
        disable_officer(work, "Boss", now=NOW)
    with door.database.work() as work, pytest.raises(Refused, match="last administrator"):
        change_officer(work, "Boss", now=NOW, role=Role.OFFICER)


def test_the_last_administrator_may_hand_on(door: Door) -> None:
    """Whoever becomes one takes nothing from anybody, and afterwards the first may become less."""
    door.arrive("Boss", role=Role.ADMINISTRATOR)
    door.arrive("Grace")
    with door.database.work() as work:
        raised = change_officer(work, "Grace", now=NOW, role=Role.ADMINISTRATOR)
    with door.database.work() as work:
        lowered = change_officer(work, "Boss", now=NOW, role=Role.OFFICER)

    assert (Role.ADMINISTRATOR, Role.OFFICER) == (raised.role, lowered.role)


def test_nobody_is_changed_who_is_not_there(door: Door) -> None:
    """A slip in a name is told in a sentence that says where to look."""
    with door.database.work() as work, pytest.raises(Refused, match="no officer called Gracie"):
        change_officer(work, "Gracie", now=NOW, role=Role.OFFICER)


def test_nobody_ends_anothers_session(door: Door) -> None:
    """An officer ends own sessions one by one or all others at once; another's handle ends nothing."""
    first = door.arrive("Grace")
    second, third, foreign = door.arrive("Grace"), door.arrive("Grace"), door.arrive("Juma")
    with door.database.work() as work:
        end_own(work, first, foreign.handle, NOW)
    with door.database.work() as work:
        end_own(work, first, second.handle, NOW)
    one_ended = [door.holds(one) for one in (first, second, third, foreign)]
    with door.database.work() as work:
        end_own(work, first, ALL_OTHERS, NOW)

    assert [True, False, True, True] == one_ended
    assert [True, False, False, True] == [door.holds(one) for one in (first, second, third, foreign)]


def test_reset_while_a_password_is_looked_at(grace: Session, door: Door) -> None:
    """Whoever is reset in the very moment their password is looked at stays outside."""

    class Slow(Counting):
        """Looks at a password while somebody at the terminal resets its owner."""

        def matches(self, kept: str | None, password: str) -> bool:
            """Reset, then look."""
            with door.database.work() as work:
                reset_officer(work, "Grace", code="NEW", now=NOW)
            return super().matches(kept, password)

    assert grace.lacks is Lack.PASSWORD
    attempt = door.attempt(name="Grace", password=GOOD)

    assert WrongCode() == sign_in_by_password(door.database.work, Slow(), attempt, NOW)
    with door.database.look() as work:
        assert None is find_session(work.logins, attempt.token, NOW)


def test_phone_speaks_for_one_officer(door: Door) -> None:
    """A number given to another officer speaks for the first no more; one of a disabled officer for nobody."""
    door.arrive("Boss", role=Role.ADMINISTRATOR)
    juma = door.arrive("Juma").officer
    with door.database.engine.begin() as connection:
        phone = metadata.tables["phone"]
        values = {"sealed": b"", "number_index": b"i", "last3": "567", "region": "TZ", "added_at": NOW}
        phone_id = connection.execute(phone.insert().values(values).returning(phone.c.id)).scalar_one()

    def owner() -> str | None:
        with door.database.look() as work:
            found = work.staff.officer_on_phone(phone_id)
        return found.name if found else None

    owners = [owner()]
    for name in ("Boss", "Juma"):
        with door.database.work() as work:
            give_phone(work, name, phone_id, now=NOW)
        owners.append(owner())
    with door.database.work() as work:
        disable_officer(work, "Juma", now=NOW)

    assert juma.name == "Juma"
    assert [None, "Boss", "Juma", None] == [*owners, owner()]


def test_nothing_kept_opens_anything(guarded: Session, door: Door) -> None:
    """Whoever reads the whole database finds neither password nor secret nor recovery code."""
    assert guarded.officer.name == "Grace"
    with door.database.engine.connect() as connection:
        kept = [
            value if isinstance(value, bytes) else str(value).encode()
            for table in metadata.sorted_tables
            for row in connection.execute(table.select())
            for value in row
        ]
    secrets = (GOOD.encode(), SECRET, SECRET.hex().encode(), *(code.encode() for code in CODES))

    assert not [value for value in kept for secret in secrets if secret in value]
