from collections.abc import Iterator

import pytest
from sqlalchemy import Column, Engine, MetaData, Table, Text, literal, select

from service.db.engine import open_engine
from service.db.upsert import insert_new, insert_or_update

THING = Table("thing", MetaData(), Column("name", Text, primary_key=True), Column("value", Text))


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """A database with one table."""
    made = open_engine(database_url)
    THING.create(made)
    yield made
    made.dispose()


def test_what_is_there_is_left_alone_and_what_is_new_is_counted(engine: Engine) -> None:
    """One row, many rows or the rows of a question: the count is of those that were not there."""
    new = insert_new(engine.dialect.name, THING)
    question = new.from_select(["name", "value"], select(literal("d"), literal("4")))

    with engine.begin() as connection:
        counts = [
            connection.execute(new, {"name": "a", "value": "1"}).rowcount,
            connection.execute(new, {"name": "a", "value": "2"}).rowcount,
            connection.execute(new, [{"name": name, "value": "3"} for name in "abc"]).rowcount,
            connection.execute(question).rowcount,
            connection.execute(question).rowcount,
        ]
        rows = {row.name: row.value for row in connection.execute(select(THING))}

    assert [1, 0, 2, 1, 0] == counts
    assert {"a": "1", "b": "3", "c": "3", "d": "4"} == rows


def test_what_is_there_is_replaced(engine: Engine) -> None:
    """The last value stands, and there is one row a key."""
    put = insert_or_update(engine.dialect.name, THING, ("name",))

    with engine.begin() as connection:
        for value in ("1", "2"):
            connection.execute(put, {"name": "a", "value": value})
        rows = connection.execute(select(THING)).all()

    assert [("a", "2")] == [tuple(row) for row in rows]
