from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from sqlalchemy import Column, Engine, Integer, MetaData, Table, insert, select
from sqlalchemy.exc import IntegrityError, StatementError

from service.core.errors import SettingError
from service.db.engine import open_engine, transaction
from service.db.migrate import migrate
from service.db.tables.meta import Instant
from service.db.tables.people import farmer
from tests.conftest import PostgresDatabases


def test_sqlite_is_opened_so_that_a_commit_is_a_commit(tmp_path: Path) -> None:
    """WAL, a sync at every commit, waiting for a lock, and foreign keys: on every connection of the pool.

    The values are those of SQLite's documentation of its PRAGMAs: synchronous 2 is FULL.
    """
    engine = open_engine(f"sqlite:///{tmp_path / 'deep' / 'down' / 'trussline.db'}")
    names = ("journal_mode", "synchronous", "busy_timeout", "foreign_keys")

    with transaction(engine, reading=True) as first, transaction(engine, reading=True) as second:
        for connection in (first, second):
            values = [connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in names]
            assert ["wal", 2, 5000, 1] == values

    engine.dispose()


@pytest.mark.postgres
def test_postgresql_keeps_what_it_commits(postgres_databases: PostgresDatabases) -> None:
    """The server these tests run on syncs as a real one does, so what passes here says something."""
    engine = open_engine(postgres_databases.create())
    names = ("fsync", "synchronous_commit", "full_page_writes")

    with engine.connect() as connection:
        values = [connection.exec_driver_sql(f"SHOW {name}").scalar_one() for name in names]

    assert ["on", "on", "on"] == values
    engine.dispose()


def test_a_database_of_another_kind_is_refused_with_a_sentence() -> None:
    """The sentence names what was written and what may be."""
    with pytest.raises(
        SettingError, match=r"database_url begins with mysql: use sqlite:///FILE or postgresql"
    ):
        open_engine("mysql://localhost/x")


def write_and_fail(engine: Engine, table: Table) -> None:
    """Write a row, and end by an error before the commit."""
    with transaction(engine) as connection:
        connection.execute(insert(table), {"id": 2})
        raise ZeroDivisionError


def test_what_is_not_committed_is_undone(database_url: str) -> None:
    """Leaving without a commit, or by an error, leaves nothing behind."""
    engine = open_engine(database_url)
    table = Table("thing", MetaData(), Column("id", Integer, primary_key=True))
    table.create(engine)

    with transaction(engine) as connection:
        connection.execute(insert(table), {"id": 1})
    with pytest.raises(ZeroDivisionError):
        write_and_fail(engine, table)
    with transaction(engine) as connection:
        connection.execute(insert(table), {"id": 3})
        connection.commit()

    with transaction(engine, reading=True) as connection:
        assert [3] == list(connection.execute(select(table.c.id)).scalars())
    engine.dispose()


def test_a_reader_waits_for_no_writer(database_url: str) -> None:
    """While a writer is at work a page is still read, as it was before."""
    engine = open_engine(database_url)
    table = Table("thing", MetaData(), Column("id", Integer, primary_key=True))
    table.create(engine)

    with transaction(engine) as writer:
        writer.execute(insert(table), {"id": 1})
        with transaction(engine, reading=True) as reader:
            assert [] == list(reader.execute(select(table.c.id)).scalars())

    engine.dispose()


def test_a_row_must_belong_to_something_that_is_there(database_url: str) -> None:
    """Foreign keys hold on both engines."""
    engine = open_engine(database_url)
    migrate(engine)
    orphan = {"id": 1, "name": "Asha", "language": "sw", "district_id": 99, "state": "active"}

    with pytest.raises(IntegrityError), transaction(engine) as connection:
        connection.execute(insert(farmer), {**orphan, "added_at": datetime(2026, 11, 25, tzinfo=UTC)})

    engine.dispose()


def test_an_instant_comes_back_as_the_same_instant(database_url: str) -> None:
    """Whatever zone it was written in, it is read in UTC and to the microsecond."""
    engine = open_engine(database_url)
    table = Table("thing", MetaData(), Column("at", Instant))
    table.create(engine)
    nairobi = timezone(timedelta(hours=3))
    given = datetime(2026, 11, 25, 10, 0, 0, 123456, tzinfo=nairobi)

    with transaction(engine) as connection:
        connection.execute(insert(table), [{"at": given}, {"at": None}])
        connection.commit()
        found = list(connection.execute(select(table.c.at)).scalars())

    assert [datetime(2026, 11, 25, 7, 0, 0, 123456, tzinfo=UTC), None] == found
    assert UTC is found[0].tzinfo
    engine.dispose()


def test_an_instant_without_a_zone_is_refused(database_url: str) -> None:
    """It would be another moment on another machine."""
    engine = open_engine(database_url)
    table = Table("thing", MetaData(), Column("at", Instant))
    table.create(engine)

    with pytest.raises(StatementError, match="an instant needs a zone"), transaction(engine) as connection:
        connection.execute(insert(table), {"at": datetime(2026, 11, 25)})  # noqa: DTZ001 - the mistake itself

    engine.dispose()
