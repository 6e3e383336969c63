"""Copies of a PostgreSQL database, made by its own pg_dump and put back by its own pg_restore."""

import subprocess
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy import Engine, inspect, text

from service.core.errors import Refused
from service.db.engine import open_engine
from service.settings import environment_with

_TRIAL: Final = "trussline_trial"
# Tables of ours that tell whose copy it is; pg_restore writes them as COPY blocks, tabs between the columns.
_TELLING: Final = ("setting", "alembic_version")


class PostgresCopies:
    """Copies of one database on a server."""

    def __init__(self, engine: Engine, programs: Path | None) -> None:
        """Copy the database that `engine` opens, with the programs in the folder `programs` or on the PATH."""
        self._engine = engine
        self._programs = programs

    def make(self, file: Path) -> None:
        """Write a whole copy to `file`."""
        self._run(
            "pg_dump", "--format=custom", *_PLAIN, "--schema=public", f"--file={file}", engine=self._engine
        )
        # Its list of contents stands at the end: a file cut short has none.
        self._run("pg_restore", "--list", str(file))

    def told_by(self, file: Path) -> Mapping[str, str]:
        """Return the settings that lie in a copy, and its version as `version`."""
        tables = [f"--table={table}" for table in _TELLING]
        try:
            said = self._run("pg_restore", "--data-only", *tables, "--file=-", str(file))
        except Refused as error:
            raise Refused(f"{file} is damaged, or no backup ({error})") from error
        told: dict[str, str] = {}
        table = ""
        for line in said.splitlines():
            if line.startswith("COPY "):
                table = line.split()[1].removeprefix("public.")
            elif line == r"\.":
                table = ""
            elif table == "setting":
                name, _, value = line.partition("\t")
                told[name] = value
            elif table:
                told["version"] = line
        return told

    def put_back(self, file: Path) -> None:
        """Let the database be what the copy holds; until it is, what was there stays under another name."""
        self._say(
            "DROP SCHEMA IF EXISTS replaced CASCADE",
            "ALTER SCHEMA public RENAME TO replaced",
            "CREATE SCHEMA public",
        )
        try:
            self._fill(self._engine, file)
        except Refused:
            self._say("DROP SCHEMA public CASCADE", "ALTER SCHEMA replaced RENAME TO public")
            raise
        self._say("DROP SCHEMA replaced CASCADE")

    def _fill(self, engine: Engine, file: Path) -> None:
        self._run("pg_restore", *_PLAIN, "--single-transaction", "--exit-on-error", "--schema=public", str(file),
                  engine=engine)  # fmt: skip

    def holds_something(self) -> bool:
        """Return whether there is something that putting back would replace."""
        return bool(inspect(self._engine).get_table_names())

    @contextmanager
    def trial(self) -> Iterator[Engine]:
        """Make an empty database on the same server, and drop it afterwards."""
        address = self._engine.url.set(database=_TRIAL).render_as_string(hide_password=False)
        self._say_alone(f"DROP DATABASE IF EXISTS {_TRIAL}", f"CREATE DATABASE {_TRIAL} TEMPLATE template0")
        engine = open_engine(address)
        try:
            yield engine
        finally:
            engine.dispose()
            self._say_alone(f"DROP DATABASE {_TRIAL} WITH (FORCE)")

    def _say(self, *statements: str) -> None:
        with self._engine.begin() as connection:
            for statement in statements:
                connection.execute(text(statement))
        # Open connections remember tables that are gone.
        self._engine.dispose()

    def _say_alone(self, *statements: str) -> None:
        with self._engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
            for statement in statements:
                connection.execute(text(statement))

    def _run(self, name: str, *arguments: str, engine: Engine | None = None) -> str:
        """Run one of PostgreSQL's programs, on a database where one is given, and return what it wrote.

        Raises:
            Refused: it is not there, or failed.
        """
        program = str(self._programs / name) if self._programs else name
        try:
            done = subprocess.run(  # noqa: S603 - PostgreSQL's own program, no shell
                (program, *_database(engine), *arguments),
                env=environment_with(_secret(engine)),
                stdin=subprocess.DEVNULL,
                capture_output=True,
                text=True,
                check=False,
            )
        except OSError as error:
            raise Refused(
                f"{program} cannot be run ({error.strerror}): install PostgreSQL's client programs, or name "
                "their folder as postgres_programs."
            ) from error
        if done.returncode:
            raise Refused(
                f"{name} failed ({' '.join(done.stderr.split())}): see to it; if it is older than the server, name the "
                "folder of a newer one as postgres_programs."
            )
        return done.stdout


_PLAIN: Final = ("--no-owner", "--no-privileges")


def _database(engine: Engine | None) -> tuple[str, ...]:
    if engine is None:
        return ()
    address = engine.url.set(drivername="postgresql", password=None)
    return (f"--dbname={address.render_as_string(hide_password=False)}",)


def _secret(engine: Engine | None) -> dict[str, str]:
    """Return the password for the environment: arguments can be read by every user of the machine."""
    return {"PGPASSWORD": str(engine.url.password)} if engine is not None and engine.url.password else {}
