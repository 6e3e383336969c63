"""The command `trussline`.

Its commands are entry points of the group `trussline.commands`, one each, loaded only when asked for. So a package
that lies above this one, as `scheduler` does, brings its own without being imported from here.
"""

import errno
import os
import pwd
import signal
import sys
import threading
from importlib.metadata import EntryPoint, entry_points
from typing import IO, Final

import click

from service.core.errors import TrusslineError
from service.db.engine import why_not_used
from service.settings import unknown_variables

# What shells say of a program that Ctrl-C has ended: 128 and the number of the signal.
STOPPED: Final = 128 + signal.SIGINT
GROUP: Final = "trussline.commands"
# What a newcomer needs stands first; everything else follows by the alphabet.
_FIRST: Final = ("demo", "setup", "up", "ready", "officer")


class Commands(click.Group):
    """A group whose commands are entry points, and whose refusals are sentences rather than tracebacks."""

    def list_commands(self, _context: click.Context) -> list[str]:
        """Return the names of all commands in the order of the help."""
        rest = sorted(_entries().keys() - set(_FIRST))
        return [*(name for name in _FIRST if name in _entries()), *rest]

    def get_command(self, _context: click.Context, name: str) -> click.Command | None:
        """Load one command."""
        entry = _entries().get(name)
        if entry is None:
            return None
        command = entry.load()
        if not isinstance(command, click.Command):
            raise TypeError(f"entry point {name} of {GROUP} is no command: {entry.value}")
        return command

    def invoke(self, context: click.Context) -> object:
        """Run a command; what the service refuses, or the machine, is told in a sentence, with exit code 1.

        A mistake in the program keeps its traceback. Ctrl-C ends any command with the code that shells give it, 130.
        """
        try:
            return super().invoke(context)
        except KeyboardInterrupt:
            click.echo("Stopped.", err=True)
            context.exit(STOPPED)
        except TrusslineError as refusal:
            raise _Sentence(str(refusal)) from refusal
        except Exception as error:
            sentence = why_not_used(error) or _of_the_machine(error)
            if sentence is None:
                raise
            raise _Sentence(sentence) from error


class _Sentence(click.ClickException):
    """A refusal, told without a word around it."""

    def show(self, file: IO[str] | None = None) -> None:
        """Write the sentence to `file`, standard error where none is given."""
        click.echo(self.format_message(), file=file, err=file is None)


def _of_the_machine(error: Exception) -> str | None:
    """Say what stands in the way on this machine: a file that is not ours, a full disk; None if it is neither."""
    if isinstance(error, PermissionError) and error.filename is not None:
        return (
            f"{error.filename} cannot be read or written by {_user()}: "
            "run this as the service's user, see deploy/README.md."
        )
    if isinstance(error, OSError) and error.errno == errno.ENOSPC:
        return f"The disk is full{f' where {error.filename} lies' if error.filename else ''}: make room, then try again."
    return None


def _user() -> str:
    try:
        return pwd.getpwuid(os.geteuid()).pw_name
    except KeyError:
        # A container may run as a number that nobody has given a name.
        return f"user {os.geteuid()}"


def _entries() -> dict[str, EntryPoint]:
    return {entry.name: entry for entry in entry_points(group=GROUP)}


@click.group(
    "trussline",
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Settings come from variables like TRUSSLINE_DATA_DIR and from the file trussline.toml. "
    "`trussline COMMAND --help` explains a command and shows an example.",
)
@click.version_option(package_name="trussline", prog_name="trussline")
@click.option("--with-parent", is_flag=True, hidden=True, help="End when standard input ends.")
def main(*, with_parent: bool) -> None:
    """Tell strawberry farmers by text which job their plants need this week, and read what they answer.

    New here? `trussline demo` shows everything with invented farmers.

    For a programme of your own: `trussline setup` asks what it must and makes it, `trussline up` runs it all,
    `trussline ready` says what is still missing, and `trussline officer add NAME` gives a person a login.
    """
    if with_parent:
        threading.Thread(target=_end_with_parent, daemon=True).start()
        return
    for name in unknown_variables():
        click.echo(
            f"Warning: {name} is no setting of this service: correct its spelling or unset it.", err=True
        )


def _end_with_parent() -> None:
    """Wait for the end of standard input, which comes when whoever started this process is gone, however it went."""
    while os.read(0, 1):
        pass
    os.kill(os.getpid(), signal.SIGTERM)


if __name__ == "__main__":
    sys.exit(main())
