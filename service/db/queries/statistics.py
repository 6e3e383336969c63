"""What the database's planner knows of its tables: renewed by us, because nobody should have to know that it is old."""

from typing import Final

from sqlalchemy import Connection, func, select

from service.db.tables.people import farmer
from service.db.tables.plots import plot

# Rows of the others come from these; after many were added at once, nothing the planner believes is true.
_SIZES: Final = {table.name: select(func.count()).select_from(table) for table in (farmer, plot)}
# SQLite looks at so many rows of an index ("The ANALYZE command", sqlite.org, advises 100 to 1000), and chooses
# itself which tables it looks at.
_SQLITE: Final = ("PRAGMA analysis_limit=1000", "PRAGMA optimize")
_POSTGRES: Final = ("ANALYZE",)


class Statistics:
    """The planner's statistics."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def sizes(self) -> dict[str, int]:
        """Return how many rows there are in the tables that tell how big this programme is."""
        return {name: self._connection.execute(size).scalar_one() for name, size in _SIZES.items()}

    def renew(self) -> None:
        """Have the database look at its tables again."""
        for statement in _SQLITE if self._connection.dialect.name == "sqlite" else _POSTGRES:
            self._connection.exec_driver_sql(statement)
