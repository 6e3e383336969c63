"""The record of what officers did: added to, never changed unseen, on both engines."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta, timezone
from threading import Barrier, Thread

import pytest
from sqlalchemy import Connection, delete, select, update

from service.core.rights import Role
from service.core.staff import Officer
from service.db.sealing import Seal
from service.db.tables import metadata, staff
from service.db.work import Database
from service.use_cases.audit import Checked, check_chain, note

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
GRACE = Officer(id=1, name="Grace", role=Role.OFFICER, districts=frozenset({3}))
SEAL = Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """An empty database."""
    opened = Database(database_url, SEAL)
    metadata.create_all(opened.engine)
    yield opened
    opened.close()


def write(database: Database, count: int = 3) -> None:
    """Note some deeds."""
    for number in range(count):
        with database.work() as work:
            at = NOW + timedelta(seconds=number)
            note(work, GRACE, "plot.edited", f"plot:{number}", {"plants": 400 + number}, at=at)
            work.commit()


def checked(database: Database) -> Checked:
    """Go through the record."""
    with database.look() as work:
        return check_chain(work.audit)


def test_untouched_record_holds(database: Database) -> None:
    """An empty record holds, and so does one with rows."""
    empty = checked(database)
    write(database)

    assert Checked(rows=0, wrong=None) == empty
    assert Checked(rows=3, wrong=None) == checked(database)


def test_details_are_plain_whatever_was_given(database: Database) -> None:
    """Days, instants and sets are written out; a deed at the machine itself names nobody and says so."""
    east = timezone(timedelta(hours=3))
    with database.work() as work:
        detail = {"on": date(2026, 3, 2), "at": NOW, "districts": frozenset({3, 1}), "none": None}
        note(work, None, "officer.added", "officer:2", detail, at=NOW.astimezone(east))
        work.commit()
    with database.look() as work:
        ((row, name),) = work.audit.newest(5)

    assert Checked(rows=1, wrong=None) == checked(database)
    assert (None, None, NOW) == (name, row.officer_id, row.at)
    assert {
        "on": "2026-03-02",
        "at": "2026-03-02T09:00:00+00:00",
        "districts": [1, 3],
        "none": None,
        "by": "terminal",
    } == row.detail


def _change_detail(connection: Connection) -> None:
    connection.execute(update(staff.audit).where(staff.audit.c.id == 2).values(detail={"plants": 9}))


def _change_officer(connection: Connection) -> None:
    connection.execute(update(staff.audit).where(staff.audit.c.id == 1).values(officer_id=2))


def _change_time(connection: Connection) -> None:
    connection.execute(update(staff.audit).where(staff.audit.c.id == 3).values(at=NOW))


def _take_out(connection: Connection) -> None:
    connection.execute(delete(staff.audit).where(staff.audit.c.id == 2))


def _cut_off(connection: Connection) -> None:
    connection.execute(delete(staff.audit).where(staff.audit.c.id == 3))


def _empty(connection: Connection) -> None:
    connection.execute(delete(staff.audit))


def _swap(connection: Connection) -> None:
    first, second = (
        connection.execute(select(staff.audit).where(staff.audit.c.id == number)).one() for number in (1, 2)
    )
    for number, row in ((1, second), (2, first)):
        values = {"action": row.action, "subject": row.subject, "detail": row.detail, "at": row.at}
        connection.execute(update(staff.audit).where(staff.audit.c.id == number).values(**values))


def _cut_apart(connection: Connection) -> None:
    connection.execute(update(staff.audit).where(staff.audit.c.id == 2).values(before=b"another row"))


def _mend_with_other_keys(connection: Connection) -> None:
    """Change a row and put a digest in that is right by all but the key."""
    from_another = Seal(sealing_key=b"s" * 32, index_key=b"x" * 32)
    values = {"detail": {"plants": 9}, "digest": from_another.index("audit")}
    connection.execute(update(staff.audit).where(staff.audit.c.id == 3).values(**values))


@pytest.mark.parametrize(
    ("meddle", "wrong"),
    [
        (_change_detail, "row 2 was changed"),
        (_change_officer, "row 1 was changed"),
        (_change_time, "row 3 was changed"),
        (_take_out, "row 2 is missing"),
        (_cut_off, "cut off after row 2"),
        (_empty, "cut off after row 0"),
        (_swap, "row 1 was changed"),
        (_cut_apart, "row 2 does not follow the row before it"),
        (_mend_with_other_keys, "row 3 was changed"),
    ],
    ids=["detail", "officer", "time", "taken out", "cut off", "emptied", "swapped", "cut apart", "mended"],
)
def test_meddling_is_seen(meddle: Callable[[Connection], None], wrong: str, database: Database) -> None:
    """Whatever is done to the rows behind the service's back, the first row that does not hold is named."""
    write(database)
    with database.engine.begin() as connection:
        meddle(connection)

    assert wrong in (checked(database).wrong or "")


def test_what_is_not_committed_is_not_noted(database: Database) -> None:
    """A deed that is undone leaves no row, and the chain goes on as if it had not been begun."""
    write(database, 1)
    with database.work() as work:
        note(work, GRACE, "plot.edited", "plot:9", {}, at=NOW)
    write(database, 1)

    assert Checked(rows=2, wrong=None) == checked(database)


def test_deeds_at_once_make_one_chain(database: Database) -> None:
    """Officers who act in the same moment wait for each other: nobody's row breaks the chain."""
    start = Barrier(4)

    def act() -> None:
        start.wait()
        write(database, 5)

    threads = [Thread(target=act) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert Checked(rows=20, wrong=None) == checked(database)
