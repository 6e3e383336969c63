"""What all tests share: the databases they may have.

Sockets are closed to all but this machine, see pyproject.toml.
"""

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import psycopg
import pytest
from hypothesis import settings
from sqlalchemy import URL, make_url

from postgres_for_tests import server
from service.db.engine import open_engine
from service.db.migrate import migrate
from tests.depth import DEEP, times
from tests.plain_logs import plain_logs
from tests.shared_statements import share_statements
from tests.village import Village, build_village

share_statements()
plain_logs()

_PREFIX = "trussline_test"

# A property is true or not, however busy the machine is: no example is judged by the clock.
settings.register_profile("house", deadline=None, max_examples=times(100, each=40))
settings.register_profile("quick", deadline=None, max_examples=10)
settings.load_profile("house")


@dataclass(frozen=True, kw_only=True)
class PostgresDatabases:
    """Makes and drops databases on one PostgreSQL server, for one process of tests.

    Attributes:
        address: a database of the server to speak to, which is left as it is.
    """

    address: URL
    _numbers: Iterator[int] = field(default_factory=count, init=False)

    def create(self, template: str | None = None) -> str:
        """Make a database, empty or as a copy of `template`, and return its address.

        A copy takes a fraction of the time that all migrations take. Nobody may be connected to the template.
        """
        name = f"{_PREFIX}_{os.getpid()}_{next(self._numbers)}"
        self._say(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        self._say(f'CREATE DATABASE "{name}" TEMPLATE "{template or "template0"}"')
        return self.address.set(database=name).render_as_string(hide_password=False)

    def drop(self, address: str) -> None:
        """Drop the database at `address`, also from under those still connected to it."""
        self._say(f'DROP DATABASE "{make_url(address).database}" WITH (FORCE)')

    def _say(self, statement: str) -> None:
        plain = self.address.set(drivername="postgresql").render_as_string(hide_password=False)
        with psycopg.connect(plain, autocommit=True) as connection:
            connection.execute(statement.encode())


# What speaks to the database itself is tried whole on both engines; a story only says what was said there before.
_WHOLE_ON_BOTH = ("tests/contract", "tests/faults", "tests/property", "tests/service/db")
_LONG = ("slow", "browser")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what PostgreSQL need not be told for each change, and let each process begin with long tests.

    Else one would have them all, and the others wait for it at the end.
    """
    if not DEEP:
        told = set(_retold(items))
        config.hook.pytest_deselected(items=list(told))
        items[:] = [item for item in items if item not in told]
    # Each process is given as many tests that follow each other as the others are; set by pytest-xdist.
    processes = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))  # noqa: TID251 - not a setting of the service
    long = [item for item in items if any(map(item.get_closest_marker, _LONG))]
    short = [item for item in items if not any(map(item.get_closest_marker, _LONG))]
    share = -(-len(short) // processes)
    items[:] = [
        item
        for process in range(processes)
        for item in (*long[process::processes], *short[process * share : (process + 1) * share])
    ]


def _retold(items: list[pytest.Item]) -> Iterator[pytest.Item]:
    """Return the tests on PostgreSQL that come after the first of their file."""
    seen = set()
    for item in items:
        if item.get_closest_marker("postgres") and not item.nodeid.startswith(_WHOLE_ON_BOTH):
            if item.path in seen:
                yield item
            seen.add(item.path)


@pytest.fixture(scope="session")
def postgres_databases() -> Iterator[PostgresDatabases]:
    """Databases on the server at TEST_DATABASE_URL, or on one that serves these tests only."""
    given = os.environ.get("TEST_DATABASE_URL")  # noqa: TID251 - set by deploy/start.py, not a setting of the service
    if given:
        yield PostgresDatabases(address=make_url(given))
    else:
        with server() as address:
            yield PostgresDatabases(address=make_url(address))


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database of the test's own, once on each engine."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'trussline.db'}"
    else:
        databases: PostgresDatabases = request.getfixturevalue("postgres_databases")
        address = databases.create()
        yield address
        databases.drop(address)


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file at the newest version, to be copied: a copy takes a fraction of the time of migrating."""
    path = tmp_path_factory.mktemp("migrated") / "trussline.db"
    _migrate(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def migrated_postgres(postgres_databases: PostgresDatabases) -> Iterator[str]:
    """The name of a PostgreSQL database at the newest version, to be a template."""
    address = postgres_databases.create()
    _migrate(address)
    yield str(make_url(address).database)
    postgres_databases.drop(address)


def _migrate(address: str) -> None:
    engine = open_engine(address)
    migrate(engine)
    engine.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)])
def migrated_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a database of the test's own at the newest version, once on each engine."""
    if request.param == "sqlite":
        shutil.copy(request.getfixturevalue("migrated_file"), tmp_path / "trussline.db")
        yield f"sqlite:///{tmp_path / 'trussline.db'}"
    else:
        databases: PostgresDatabases = request.getfixturevalue("postgres_databases")
        address = databases.create(request.getfixturevalue("migrated_postgres"))
        yield address
        databases.drop(address)


@pytest.fixture
def village(migrated_url: str) -> Iterator[Village]:
    """The service with its phones and a clock moved by hand, once on each engine."""
    made = build_village(migrated_url)
    yield made
    made.database.close()
