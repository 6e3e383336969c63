"""Bringing a database to the newest version, configured in code: there is no file of settings to lose."""

from collections.abc import Iterator
from contextlib import contextmanager

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from service.core.errors import SettingError

_PACKAGE = "service.db:migrations"


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", _PACKAGE)
    config.set_main_option("path_separator", "os")
    return config


def newest() -> str:
    """Return the name of the newest version this code knows."""
    head = ScriptDirectory.from_config(_config()).get_current_head()
    if head is None:
        raise LookupError("there is no migration in the package")
    return head


def current(engine: Engine) -> str | None:
    """Return the version a database is at, None before its first migration.

    Raises:
        SettingError: the database cannot be opened.
    """
    with _connection(engine) as connection:
        return MigrationContext.configure(connection).get_current_revision()


def migrate(engine: Engine) -> None:
    """Bring a database to the newest version; all or nothing, and harmless when it is there already.

    Raises:
        SettingError: the database cannot be opened.
    """
    config = _config()
    with _connection(engine) as connection, connection.begin():
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


@contextmanager
def _connection(engine: Engine) -> Iterator[Connection]:
    """Open the first connection of a process: what is wrong with the address shows here."""
    try:
        connection = engine.connect()
    except DBAPIError as error:
        said = " ".join(str(error.orig).split())
        raise SettingError(
            f"The database {engine.url.render_as_string()} cannot be opened ({said}): "
            "start it, or correct database_url."
        ) from error
    with connection:
        yield connection
