"""Bringing a database to the newest version, configured in code: there is no file of settings to lose."""

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

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
    """Return the version a database is at, None before its first migration."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def migrate(engine: Engine) -> None:
    """Bring a database to the newest version; all or nothing, and harmless when it is there already."""
    config = _config()
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
