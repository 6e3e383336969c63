"""What a machine puts in a command's way: another user's files, a full disk, Ctrl-C. Each is a sentence."""

import errno
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from service.cli.main import Commands, main
from service.db.engine import open_engine
from service.db.only_one import only_one

# The user that Linux and others keep for what belongs to nobody; its number is Debian's.
NOBODY = 65534


@contextmanager
def somebody_else(file: Path) -> Iterator[None]:
    """Be a user to whom `file` is shut."""
    if os.geteuid() != 0:
        file.chmod(0)
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def programme(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A programme whose folders anybody may look into, and whose settings and keys only its owner may read."""
    monkeypatch.chdir(tmp_path)
    tmp_path.chmod(0o755)
    file = tmp_path / "trussline.toml"
    file.write_text('zone = "Africa/Nairobi"\n', encoding="utf-8")
    assert 0 == CliRunner().invoke(main, ["migrate"]).exit_code
    (tmp_path / "trussline-data").chmod(0o755)
    return tmp_path


@pytest.mark.parametrize(
    ("name", "command"),
    [
        ("trussline.toml", ["ready"]),
        ("trussline.toml", ["setup"]),
        ("trussline-data/keys.json", ["ready"]),
        ("trussline-data/keys.json", ["keys"]),
    ],
    ids=["settings", "settings on setup", "keys", "keys to be printed"],
)
def test_another_users_file_is_named_with_who_may_not_read_it(
    programme: Path, name: str, command: list[str]
) -> None:
    """A person who forgot to become the service's user is told just that."""
    file = programme / name
    if name != "trussline.toml":
        (programme / "trussline.toml").unlink()
    file.chmod(0o600)

    with somebody_else(file):
        said = CliRunner().invoke(main, command, input="\n" * 20)

    assert 1 == said.exit_code
    assert "Traceback" not in said.output
    assert f"{name} cannot be read or written by " in said.stderr
    assert said.stderr.endswith(": run this as the service's user, see deploy/README.md.\n")


def test_a_second_start_of_everything_is_told_that_the_first_runs(programme: Path) -> None:
    """Nothing is started and stopped again; the sentence says what is running."""
    with only_one(open_engine(f"sqlite:///{programme / 'trussline-data' / 'trussline.db'}")):
        said = CliRunner().invoke(main, ["up"])

    assert (1, "Another worker is running on this database: stop it first.\n") == (
        said.exit_code,
        said.stderr,
    )
    assert "" == said.stdout


def test_a_backup_into_a_folder_that_is_not_there_is_refused(programme: Path) -> None:
    """A misspelt folder would hide the backup from whoever looks for it."""
    said = CliRunner().invoke(main, ["backup", "nowhere/monday.backup"])

    assert 1 == said.exit_code
    assert "name a folder you may write to" in said.stderr
    assert not (programme / "nowhere").exists()


class OneCommand(Commands):
    """The command line, with one command that meets an error."""

    def __init__(self, error: BaseException) -> None:
        """Have the command `go`, which raises `error`."""
        super().__init__("trussline")
        self._error = error

    def get_command(self, _context: click.Context, name: str) -> click.Command | None:
        """Return the command."""

        def go() -> None:
            raise self._error

        return click.Command(name, callback=go)


def meet(error: BaseException) -> Result:
    """Run a command that meets an error."""
    return CliRunner().invoke(OneCommand(error), ["go"])


@pytest.mark.parametrize(
    ("error", "code", "sentence"),
    [
        (
            OSError(errno.ENOSPC, "full", "a/b"),
            1,
            "The disk is full where a/b lies: make room, then try again.\n",
        ),
        (OSError(errno.ENOSPC, "full"), 1, "The disk is full: make room, then try again.\n"),
        (KeyboardInterrupt(), 130, "Stopped.\n"),
    ],
    ids=["no room for a file", "no room", "Ctrl-C"],
)
def test_a_full_disk_and_ctrl_c_are_told(error: BaseException, code: int, sentence: str) -> None:
    """Neither is a mistake in the program; the code after Ctrl-C is that of shells, 128 and the signal's number."""
    said = meet(error)

    assert (code, sentence) == (said.exit_code, said.stderr)


@pytest.mark.parametrize(
    "error", [ZeroDivisionError(), PermissionError("kept apart"), OSError(errno.EBADF, "bad")], ids=repr
)
def test_a_programmers_mistake_stays_an_exception(error: Exception) -> None:
    """Whoever mends it needs to see where it was made."""
    assert error is meet(error).exception


def test_ctrl_c_while_the_program_is_loaded_is_no_error() -> None:
    """The commands are many files: somebody who stops in that second sees a word, not where they were read."""
    stopped_early = (
        "import sys\n"
        "class CtrlC:\n"
        "    def find_spec(self, name, path, target=None):\n"
        "        if name == 'service.cli.main': raise KeyboardInterrupt\n"
        "from service.cli.start import start\n"
        "sys.meta_path.insert(0, CtrlC())\n"
        "start()\n"
    )

    done = subprocess.run(
        [sys.executable, "-c", stopped_early], capture_output=True, text=True, check=False, timeout=60
    )

    assert (130, "Stopped.\n") == (done.returncode, done.stderr)


def test_what_is_installed_starts_the_command_line() -> None:
    """The start hands on to the commands."""
    done = subprocess.run(
        [sys.executable, "-c", "from service.cli.start import start; start()", "--version"],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert (0, "trussline") == (done.returncode, done.stdout.split(",")[0])
