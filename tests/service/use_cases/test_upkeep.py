"""Looking after the database: its planner learns by itself that there are many farmers now."""

from sqlalchemy import func, insert, select

from service.db.tables.people import farmer
from service.use_cases.upkeep import renew_statistics
from tests.village import Village

# By the planner's own books: "The sqlite_stat1 table", sqlite.org, and "pg_class", PostgreSQL's documentation.
BOOKS = {
    "sqlite": "SELECT DISTINCT CAST(stat AS INTEGER) AS size FROM sqlite_stat1 WHERE tbl = 'farmer'",
    "postgresql": "SELECT CAST(reltuples AS INTEGER) AS size FROM pg_class WHERE relname = 'farmer'",
}


def add(village: Village, count: int) -> None:
    """Add farmers like the one there is, all at once."""
    with village.database.engine.connect() as connection:
        last = connection.execute(select(func.max(farmer.c.id))).scalar_one()
        one = connection.execute(select(farmer).limit(1)).mappings().one()
        connection.execute(insert(farmer), [{**one, "id": last + 1 + number} for number in range(count)])
        connection.commit()


def renew(village: Village) -> int:
    """Do what a tick does."""
    with village.database.work() as work:
        return renew_statistics(work)


def test_after_many_farmers_were_added_the_database_looks_again(village: Village) -> None:
    """Once, and again only when the number is another one; a handful of farmers is not worth a look."""
    village.phone().joins()
    books = BOOKS[village.database.engine.dialect.name]

    few = renew(village)
    add(village, 1500)
    many = [renew(village), renew(village)]
    told = village.rows(books)
    add(village, 100)
    a_few_more = renew(village)

    assert (0, [1, 0], 0) == (few, many, a_few_more)
    # SQLite looks at some of the rows and reckons.
    (size,) = (row["size"] for row in told)
    assert 1000 < int(str(size)) < 2000
