"""Bringing a database to the newest version, configured in code: there is no file of settings to lose."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DatabaseError, DBAPIError, OperationalError

from service.core.errors import SettingError, TrusslineError
from service.db.engine import is_file_away, open_engine, parse

_PACKAGE = "service.db:migrations"


class DamagedDatabase(TrusslineError):
    """What lies there is no database, or no whole one."""

    def __init__(self, engine: Engine, said: str) -> None:
        """Name the file and what the database's own library says of it."""
        super().__init__(f"The database {engine.url.render_as_string()} is damaged ({said}).")


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


def versions() -> frozenset[str]:
    """Return the names of all versions that this code can bring to the newest one, that one among them."""
    return frozenset(one.revision for one in ScriptDirectory.from_config(_config()).walk_revisions())


def current(engine: Engine) -> str | None:
    """Return the version a database is at, None before its first migration.

    Raises:
        SettingError: the database cannot be opened.
        DamagedDatabase: it is damaged.
    """
    if is_file_away(engine.url):
        return None
    with _connection(engine) as connection:
        return MigrationContext.configure(connection).get_current_revision()


def is_there(url: str) -> bool:
    """Return whether there is a database of this service at `url`, at any version.

    Raises:
        SettingError: the database cannot be opened.
        DamagedDatabase: it is damaged.
    """
    if is_file_away(parse(url)):
        return False
    engine = open_engine(url)
    try:
        return current(engine) is not None
    finally:
        engine.dispose()


def migrate(engine: Engine) -> None:
    """Bring a database to the newest version; all or nothing, and harmless when it is there already.

    Raises:
        SettingError: the database cannot be opened.
    """
    config = _config()
    if is_file_away(engine.url):
        # Names and texts stand in it in clear. Its write-ahead log gets the same mode.
        Path(str(engine.url.database)).touch(mode=0o600)
    with _connection(engine) as connection, connection.begin():
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


@contextmanager
def _connection(engine: Engine) -> Iterator[Connection]:
    """Open the first connection of a process: what is wrong with the address, or the file, shows here."""
    try:
        with _opened(engine) as connection:
            yield connection
    except DatabaseError as error:
        # Not one of its subclasses (PEP 249): SQLite says so of a file that is no database, or no whole one.
        if type(error) is not DatabaseError:
            raise
        raise DamagedDatabase(engine, _said(error)) from error


def _opened(engine: Engine) -> Connection:
    try:
        return engine.connect()
    except OperationalError as error:
        raise SettingError(
            f"The database {engine.url.render_as_string()} cannot be opened ({_said(error)}): "
            "start it, or correct database_url."
        ) from error


def _said(error: DBAPIError) -> str:
    return " ".join(str(error.orig).split())
