import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Engine, inspect

from service.db.engine import open_engine
from service.db.migrate import current, migrate, newest
from service.db.tables import metadata
from tests.depth import times
from tests.faults.stage import SIGKILL, ForkServer

pytestmark = pytest.mark.slow

# Before the first statement of a migration, deep inside it, and close to its end.
KILLS = range(1, 41, times(2, each=6))


def test_a_migration_killed_anywhere_is_run_again(forks: ForkServer, database_url: str) -> None:
    """Killed at many different statements it leaves an empty database each time, and then completes."""
    engine = open_engine(database_url)

    for number in KILLS:
        assert SIGKILL == forks.live(way="migrate_and_die", database=database_url, die_before=number)
        assert [] == inspect(engine).get_table_names(), f"killed before statement {number}"
        engine.dispose()
    migrate(engine)

    assert newest() == current(engine)
    assert [] == _differences(engine)
    engine.dispose()


def _differences(engine: Engine) -> list[object]:
    with engine.connect() as connection:
        return list(compare_metadata(MigrationContext.configure(connection), metadata))
