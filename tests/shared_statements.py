"""Statements compiled once a process and not once a test.

Each test has an engine of its own, and an engine compiles each statement when it meets it first: about a third of what
a short story costs. The outcome depends on the kind of database alone, and the tests know two: so the engines of one
kind share what any of them compiled, by SQLAlchemy's own option `compiled_cache`. A service has one engine.
"""

from typing import Any, Final

from sqlalchemy import Connection, Engine, event


class SharedStatements(dict[Any, Any]):
    """What was compiled, by statement and by the kind of database instead of by engine."""

    def get(self, key: Any, default: Any = None) -> Any:  # noqa: ANN401 - SQLAlchemy's keys and statements are its own
        """Return what was compiled for a statement on any engine of this kind."""
        return super().get(_of_kind(key), default)

    def __setitem__(self, key: Any, compiled: Any) -> None:  # noqa: ANN401 - as above
        """Keep what was compiled."""
        super().__setitem__(_of_kind(key), compiled)


def _of_kind(key: Any) -> tuple[Any, ...]:  # noqa: ANN401 - as above
    dialect, *statement = key
    return (dialect.name, *statement)


SHARED: Final = SharedStatements()


def share_statements() -> None:
    """Let all engines of this process share what they compile."""
    event.listen(Engine, "engine_connect", _share)


def _share(connection: Connection) -> None:
    connection.execution_options(compiled_cache=SHARED)
