"""What the pages show that is nobody's: the practice phones' texts and the schema's version.

All that is about farmers is reached through `Console.within`, which asks whose districts it is for: whoever writes a
new page says for whom it is before there is anything to show.
"""

from typing import Final

from sqlalchemy import Connection, Text, column, inspect, select, table

from service.db.queries.console_values import TextedIn
from service.db.queries.scope import Districts
from service.db.queries.sight import Sight
from service.db.tables.speech import inbound

_VERSION: Final = select(column("version_num", Text)).select_from(table("alembic_version"))


class Console:
    """Reads for the pages."""

    def __init__(self, connection: Connection) -> None:
        """Read in an open transaction."""
        self._connection = connection

    def within(self, districts: Districts) -> Sight:
        """Return what can be seen of farmers in these districts; None for all."""
        return Sight(self._connection, districts)

    def texted_in(self, phone_id: int, limit: int) -> tuple[TextedIn, ...]:
        """Return the last texts that came in from one phone, the newest first."""
        found = (
            select(inbound.c.ref, inbound.c.received_at.label("at"), inbound.c.text)
            .where(inbound.c.phone_id == phone_id)
            .order_by(inbound.c.id.desc())
            .limit(limit)
        )
        return tuple(TextedIn(**row) for row in self._connection.execute(found).mappings())

    def schema_version(self) -> str | None:
        """Return the name of the newest migration that ran here, None before the first."""
        if not inspect(self._connection).has_table("alembic_version"):
            return None
        return self._connection.execute(_VERSION).scalar_one_or_none()
