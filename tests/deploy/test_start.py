"""The two commands from the outside: what they say, and how they end."""

import ast
import json
import shutil
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from environment import FOR_DEMO, origin

ROOT = Path(__file__).parents[2]
START = ROOT / "deploy" / "start.py"

# Runs start.py in an interpreter that takes itself for another version.
AS_PYTHON_3_10 = f"""
import runpy, sys
sys.version_info = (3, 10, 13, "final", 0)
runpy.run_path({str(START)!r}, run_name="__main__")
"""

# Stands in for the service: says how it was called and waits to be stopped.
SERVICE = f"""#!{sys.executable}
import signal, sys
try:
    print(*sys.argv[1:], flush=True)
    signal.pause()
except KeyboardInterrupt:
    print("stopped cleanly", flush=True)
"""


def start(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run start.py as a person would, and return what became of it."""
    return subprocess.run(
        [sys.executable, str(START), *arguments], capture_output=True, text=True, check=False
    )


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A checkout whose environment is ready, with a stand-in for the service in it."""
    shutil.copytree(ROOT / "deploy", tmp_path / "deploy", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    programs = tmp_path / ".venv" / "bin"
    programs.mkdir(parents=True)
    (programs / "trussline").write_text(SERVICE)
    (programs / "trussline").chmod(0o755)
    (tmp_path / ".venv" / "trussline-stamp.json").write_text(json.dumps(origin(tmp_path)))
    return tmp_path


@pytest.fixture
def port() -> int:
    """A port that nobody holds."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        number: int = trial.getsockname()[1]
        return number


def test_old_python_is_told_so() -> None:
    """A Python that is too old gets a sentence and no traceback."""
    told = subprocess.run([sys.executable, "-c", AS_PYTHON_3_10], capture_output=True, text=True, check=False)

    assert 1 == told.returncode
    assert (
        "Trussline needs Python 3.11 or newer and this is 3.10: start it with a newer one.\n" == told.stderr
    )


def test_old_python_can_read_the_file() -> None:
    """All that stands in the file Python 2.7 reads too, or old Pythons could not say what they lack.

    "Full Grammar specification" of Python 2.7 has each of these; without a coding line it takes ASCII alone.
    """
    text = START.read_text(encoding="ascii")

    found = {type(node).__name__ for node in ast.walk(ast.parse(text, feature_version=(3, 6)))}
    assert found <= {
        "Module", "Expr", "Constant", "Import", "ImportFrom", "alias", "If", "Compare", "Attribute", "Name", "Load",
        "Lt", "Eq", "Tuple", "Call", "Starred", "Subscript", "Slice",
    }  # fmt: skip


def test_help_names_both_commands() -> None:
    """Asked for help it names the two commands."""
    told = start("--help")

    assert 0 == told.returncode
    assert "demo | test" in told.stdout


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        pytest.param([], "the following arguments are required: demo | test", id="no command"),
        pytest.param(["demo", "--port", "0"], "a port is a number from 1 to 65535", id="port zero"),
        pytest.param(["demo", "--port", "65536"], "a port is a number from 1 to 65535", id="port too high"),
        pytest.param(["demo", "--port", "berry"], "a port is a number from 1 to 65535", id="port a word"),
        pytest.param(["test", "--slow"], "unrecognized arguments: --slow", id="unknown option"),
    ],
)
def test_mistyped_command_is_explained(arguments: list[str], sentence: str) -> None:
    """A command it does not know ends with the sentence that says why, and does nothing."""
    told = start(*arguments)

    assert 2 == told.returncode
    assert sentence in told.stderr


def test_taken_port_is_told_before_anything_is_made(checkout: Path) -> None:
    """A demo on a port that is taken ends at once and says what to do."""
    shutil.rmtree(checkout / ".venv")
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        port = holder.getsockname()[1]

        told = subprocess.run(
            [sys.executable, checkout / "deploy" / "start.py", "demo", "--port", str(port)],
            capture_output=True,
            text=True,
            check=False,
        )

    assert (1, f"Port {port} is taken: choose another with --port.\n") == (told.returncode, told.stderr)
    assert not (checkout / ".venv").exists()


@pytest.mark.parametrize(
    ("options", "called"),
    [
        pytest.param([], "demo --port {port}", id="with browser"),
        pytest.param(["--no-browser"], "demo --port {port} --no-browser", id="without browser"),
    ],
)
def test_demo_ends_cleanly_on_ctrl_c(checkout: Path, port: int, options: list[str], called: str) -> None:
    """The demo hands its options to the service, and Ctrl-C reaches the service, which ends by itself."""
    command = [sys.executable, str(checkout / "deploy" / "start.py"), "demo", "--port", str(port), *options]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        first = process.stdout.readline()
        second = process.stdout.readline()
        process.send_signal(signal.SIGINT)
        rest = process.stdout.read()

    assert "Using the environment in .venv as it stands.\n" == first
    assert f"{called.format(port=port)}\n" == second
    assert "stopped cleanly\n" == rest
    assert 0 == process.returncode


def test_demo_needs_the_smaller_lock_only(checkout: Path, port: int) -> None:
    """An environment stamped with the demo's lock alone serves the demo as it stands."""
    stamp = checkout / ".venv" / "trussline-stamp.json"
    known = {name: value for name, value in origin(checkout).items() if name != "lock-test.txt"}
    stamp.write_text(json.dumps(known))
    command = [sys.executable, str(checkout / "deploy" / "start.py"), "demo", "--port", str(port)]

    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        first = process.stdout.readline()
        process.stdout.readline()
        process.terminate()

    assert FOR_DEMO.file in known
    assert "Using the environment in .venv as it stands.\n" == first
