"""What the two commands of the README do; `start.py` hands on to them in a Python that can read this."""

import argparse
import errno
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

from checks import Check, check
from environment import FOR_DEMO, FOR_ORACLES, FOR_TEST, Environment, Lock, prepare
from refusal import Refusal

ROOT = Path(__file__).resolve().parent.parent
PORT = 8000


def main(arguments: list[str]) -> int:
    """Do what the command line asks for and return the exit code."""
    wish = _parser().parse_args(arguments)
    # A shell in the background hands down that Ctrl-C is ignored, and what is started here would inherit it.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    # Asked to end, it unwinds as after Ctrl-C, so that servers are stopped and folders removed.
    signal.signal(signal.SIGTERM, lambda _number, _frame: sys.exit(128 + signal.SIGTERM))
    try:
        if wish.command == "demo":
            return demo(wish.port, browser=wish.browser)
        return test(wish.wanted)
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        return 1
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        print("The disk is full: free some space and start again.", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return 128 + signal.SIGINT


def demo(port: int, *, browser: bool) -> int:
    """Serve the demo at `port` of this machine until it is stopped.

    Raises:
        Refusal: the port is taken, or the environment cannot be made.
    """
    _refuse_taken(port)
    environment = prepare(ROOT, FOR_DEMO)
    command = [environment.program("trussline"), "demo", "--port", str(port)]
    return _become(command if browser else [*command, "--no-browser"], environment)


def test(wanted: Check) -> int:
    """Run a check and return the exit code of the first that failed, or 0.

    Raises:
        Refusal: the environment cannot be made.
    """
    return check(ROOT, prepare(ROOT, *_locks_for(wanted)), wanted)


def _locks_for(wanted: Check) -> tuple[Lock, ...]:
    """Return what a check needs: only the whole ones ask second opinions, the others need not wait for them."""
    return (FOR_TEST, FOR_ORACLES) if wanted in {Check.WHOLE, Check.DEEP} else (FOR_TEST,)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python3 deploy/start.py",
        description="Show Trussline, or check it. What it needs goes into the folder .venv of this checkout.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="demo | test")
    shown = commands.add_parser(
        "demo",
        help="serve an invented programme with its farmers' phones; Ctrl-C ends it",
        description="Serve an invented programme with its farmers' phones; Ctrl-C ends it.",
    )
    shown.add_argument("--port", type=_port, default=PORT, help="where to serve it (default: %(default)s)")
    shown.add_argument(
        "--no-browser", dest="browser", action="store_false", help="print the address instead of opening it"
    )
    checked = commands.add_parser(
        "test", help="run all checks, as before a change is taken", description="Run all checks."
    )
    fewer = checked.add_mutually_exclusive_group()
    for wanted, told in (
        (Check.QUICK, "style, types and the tests of the inner parts only, in less than a minute"),
        (Check.DEEP, "all of it, each kill, race and season many times: before a release"),
        (Check.COVERAGE, "which lines the fast tests walk"),
    ):
        fewer.add_argument(f"--{wanted.value}", dest="wanted", action="store_const", const=wanted, help=told)
    checked.set_defaults(wanted=Check.WHOLE)
    return parser


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:  # noqa: PLR2004 - all ports there are
        raise argparse.ArgumentTypeError("a port is a number from 1 to 65535")
    return int(text)


def _refuse_taken(port: int) -> None:
    with socket.socket() as trial:
        # As servers do, so that a port is not called taken for a minute after the last demo.
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", port))
        except OSError as error:
            if error.errno == errno.EACCES:
                raise Refusal(
                    f"Port {port} is not yours to use: choose one above 1023 with --port."
                ) from error
            raise Refusal(f"Port {port} is taken: choose another with --port.") from error


def _become(command: list[str], environment: Environment) -> int:
    """Turn into another program, which then gets Ctrl-C and every other signal itself."""
    sys.stdout.flush()
    if os.name != "nt":
        os.execve(command[0], command, environment.variables())  # noqa: S606 - no shell is what we want
    return subprocess.call(command, env=environment.variables())
