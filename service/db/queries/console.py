"""What the pages show: queries that only read and return plain values."""

from sqlalchemy import Connection


class Console:
    """Reads for the pages."""

    def __init__(self, connection: Connection) -> None:
        """Read in an open transaction."""
        self._connection = connection
