from datetime import UTC, date, datetime

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Engine, func, insert, inspect, select
from sqlalchemy.exc import IntegrityError

from service.agronomy.traits import every_kind
from service.db.engine import open_engine
from service.db.migrate import current, migrate, newest
from service.db.tables import metadata
from service.db.tables.people import district, farmer
from service.db.tables.plots import plot
from service.use_cases.planting import default_days
from tests.by_plot import columns_of
from tests.village import ZONE

_NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
_FARMER = {"language": "sw", "state": "active", "added_at": _NOW}
_PLOT = {
    "farmer_id": 1,
    "planted_on": date(2026, 9, 2),
    "precision": "exact",
    "plants": 400,
    "zone": ZONE,
    "calendar_id": "highland-strawberry",
    "live": True,
    **default_days(date(2026, 11, 25)),
}


def differences(engine: Engine) -> list[object]:
    """Return what the database lacks of the tables in the code, or has beyond them."""
    with engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        return list(compare_metadata(context, metadata))


def test_an_empty_database_becomes_what_the_code_says(database_url: str) -> None:
    """After the migrations Alembic finds no difference between the database and the tables in the code."""
    engine = open_engine(database_url)
    before = current(engine)

    migrate(engine)

    assert (None, newest()) == (before, current(engine))
    assert [] == differences(engine)
    engine.dispose()


def test_the_comparison_sees_a_difference(database_url: str) -> None:
    """The test above could fail: one index less is found."""
    engine = open_engine(database_url)
    migrate(engine)
    with engine.begin() as connection:
        connection.exec_driver_sql("DROP INDEX ix_message_due")

    assert ["add_index"] == [difference[0] for difference in differences(engine)]  # type: ignore[index]
    engine.dispose()


def test_indexes_and_their_conditions_are_those_of_the_code(database_url: str) -> None:
    """What Alembic does not compare: the condition of each partial index, made afresh from the code elsewhere."""
    engine = open_engine(database_url)
    migrate(engine)
    migrated = _conditions(engine)
    with engine.begin() as connection:
        metadata.drop_all(connection)
        metadata.create_all(connection)

    assert _conditions(engine) == migrated
    assert any("WHERE" in text for text in migrated.values())
    engine.dispose()


def _conditions(engine: Engine) -> dict[str, str]:
    """Return each index as the database itself writes it."""
    statements = {
        "sqlite": "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL",
        "postgresql": "SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
    }
    with engine.connect() as connection:
        rows = connection.exec_driver_sql(statements[engine.dialect.name]).all()
    return {name: " ".join(text.split()) for name, text in rows if name != "alembic_version_pkc"}


def test_traits_that_are_not_the_words_are_refused(database_url: str) -> None:
    """Every kind of plot is kept with the bits that the planner reckons with, and with no others."""
    engine = open_engine(database_url)
    migrate(engine)
    kinds = tuple(every_kind())
    with engine.begin() as connection:
        connection.execute(insert(district).values(id=1, name="Zaruvi", zone=ZONE))
        connection.execute(insert(farmer).values(id=1, name="Asha", district_id=1, **_FARMER))
        connection.execute(insert(plot), [{**_PLOT, **columns_of(kind)} for kind in kinds])
        kept = connection.execute(select(func.count()).select_from(plot)).scalar_one()
    with pytest.raises(IntegrityError, match="traits_are_the_words"), engine.begin() as connection:
        connection.execute(insert(plot).values(**_PLOT, plant_type="short_day"))

    assert len(kinds) == kept
    engine.dispose()


def test_migrating_again_changes_nothing(database_url: str) -> None:
    """A start of the service migrates each time, and finds nothing to do."""
    engine = open_engine(database_url)
    migrate(engine)
    migrate(engine)

    assert newest() == current(engine)
    assert set(metadata.tables) | {"alembic_version"} == set(inspect(engine).get_table_names())
    engine.dispose()


def test_every_constraint_has_a_name() -> None:
    """Without names a later migration could not change them on SQLite."""
    unnamed = [
        f"{table.name}: {constraint}"
        for table in metadata.tables.values()
        for constraint in table.constraints
        if not constraint.name
    ]

    assert [] == unnamed


def test_a_migration_that_fails_leaves_nothing(database_url: str) -> None:
    """All or nothing: a table in the way ends the migration, and nothing of it stays."""
    engine = open_engine(database_url)
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE receipt (x INTEGER)")

    with pytest.raises(Exception, match="receipt"):
        migrate(engine)

    assert ["receipt"] == inspect(engine).get_table_names()
    with engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE receipt")
    migrate(engine)
    assert [] == differences(engine)
    engine.dispose()
