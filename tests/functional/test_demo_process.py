"""The demo and `up` as a person starts them: real processes, real signals, real pages."""

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
from pathlib import Path
from typing import Final, Self

import pytest

from service.core.errors import Refused
from service.demo import only_demo
from service.settings import environment_for

pytestmark = pytest.mark.slow

TRUSSLINE: Final = (sys.executable, "-P", "-m", "service.cli.main")
LAST_LINE: Final = "Ctrl-C stops it"
PATIENCE: Final = 60.0
# The promise of the README: Ctrl-C ends it within so many seconds.
STOPS_WITHIN: Final = 15.0
NEWCOMER: Final = "0621 234 512"


class Started:
    """A running command with its words, killed at the end whatever happens."""

    def __init__(
        self, *arguments: str, folder: Path, until: str = LAST_LINE, settings: Path | None = None
    ) -> None:
        self.process = subprocess.Popen(
            [*TRUSSLINE, *arguments],
            cwd=folder,
            env=environment_for(settings or folder / "none.toml"),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.said = ""
        self._watchdog = threading.Timer(PATIENCE, self.process.kill)
        self._watchdog.start()
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said += line
            if until in line:
                break

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._watchdog.cancel()
        self.process.kill()
        self.process.wait()
        if self.process.stdout:
            self.process.stdout.close()

    def rest(self) -> str:
        """Return what it still says until it ends."""
        return self.process.stdout.read() if self.process.stdout else ""

    def ends(self, number: signal.Signals) -> int:
        """Send a signal and return the exit code."""
        self.process.send_signal(number)
        return self.process.wait(STOPS_WITHIN)

    def child(self, name: str) -> Path:
        """Return the folder in which the system tells about one of its children, there as long as it lives."""
        pid = self.process.pid
        for child in Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split():
            if name in Path(f"/proc/{child}/cmdline").read_bytes().decode().split("\0"):
                return Path("/proc", child)
        raise LookupError(f"no child called {name}")


def _free_port() -> str:
    with socket.create_server(("127.0.0.1", 0)) as found:
        return str(found.getsockname()[1])


def _get(port: str, path: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", int(port), timeout=10)
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()


def _run(*arguments: str, settings: Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*TRUSSLINE, *arguments],
        input=typed,
        env=environment_for(settings),
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )


def _code(said: str) -> str:
    found = re.search(r"Sign in once with\s+([A-Z0-9-]+)", said)
    assert found, said
    return found.group(1)


def test_a_demo_is_started_killed_and_started_again(tmp_path: Path) -> None:
    """The first start says all there is to know; a kill leaves nothing running; what was there is there again.

    One story in one test: a demo takes seconds to start, and each step begins where the last one ended.
    """
    _second_start_is_killed(tmp_path, _code(_first_start(tmp_path)))
    _third_start_loses_its_worker(tmp_path)


def _first_start(folder: Path) -> str:
    """Where the pages and the phone are, how to sign in, and what is special about a demo."""
    port = _free_port()
    with Started("demo", "--port", port, "--no-browser", folder=folder) as demo:
        assert LAST_LINE in demo.said, demo.said
        assert (200, True) == (_get(port, "/readyz")[0], json.loads(_get(port, "/readyz")[1])["ready"])
        assert 200 == _get(port, "/sign-in")[0]
        assert 0 == demo.ends(signal.SIGINT)

    assert re.search(r"The pages +http://127\.0\.0\.1:\d+/\n", demo.said)
    assert re.search(r"The practice phone +http://127\.0\.0\.1:\d+/practice ", demo.said)
    assert "No emergency number is set: that is allowed in a demo only." in demo.said
    assert "New keys lie in" in demo.said
    assert (folder / ".trussline-demo" / "demo.toml").is_file()
    return demo.said


def _second_start_is_killed(folder: Path, first_code: str) -> None:
    """It gives a new code; a farmer joins on a phone in the terminal; children do not outlive a killed parent."""
    settings = folder / ".trussline-demo" / "demo.toml"
    with Started("demo", "--port", _free_port(), "--no-browser", folder=folder) as demo:
        assert _code(demo.said) != first_code
        assert "New keys" not in demo.said
        with pytest.raises(Refused, match="A demo is running already"), only_demo(settings.parent):
            raise AssertionError("a running demo was not held")
        joined = _run(
            "phone", NEWCOMER, settings=settings, typed="JIUNGE Maua 300 12/10/2026 Ndaliro\nNDIYO\n"
        )
        children = [demo.child(name) for name in ("simulator", "worker", "web")]
        assert -signal.SIGKILL == demo.ends(signal.SIGKILL)
        # They hold the pipe of its words: it ends when the last of them is gone.
        demo.rest()
    never = threading.Event()
    for _ in range(round(STOPS_WITHIN * 10)):
        if not any(child.exists() for child in children):
            break
        never.wait(0.1)

    assert [] == [child for child in children if child.exists()]
    assert (0, "") == (joined.returncode, joined.stderr)
    assert "> JIUNGE Maua 300 12/10/2026 Ndaliro\n[" in joined.stdout
    assert "1 part] Habari Maua, Zaruvi Berry Programme" in joined.stdout
    assert "1 part] Karibu Maua, tumeandika mimea 300" in joined.stdout


def _third_start_loses_its_worker(folder: Path) -> None:
    """Nothing was in its way; the phone knows its texts; pages that promise texts do not stay up without a worker."""
    settings = folder / ".trussline-demo" / "demo.toml"
    with Started("demo", "--port", _free_port(), "--no-browser", folder=folder) as demo:
        assert LAST_LINE in demo.said, demo.said
        weighed = _run("phone", NEWCOMER, "--wait", "20", settings=settings, typed="vuna 1.5\n")
        pages = demo.child("web")
        os.kill(int(demo.child("worker").name), signal.SIGKILL)
        code = demo.process.wait(STOPS_WITHIN)
        said = demo.rest()

    assert 1 == code
    assert "worker ended by itself with exit code -9, so everything was stopped" in said
    assert not pages.exists()
    # Switched on again, the phone shows what it has received before.
    assert "Karibu Maua" in weighed.stdout.partition("> vuna 1.5")[0]
    assert "1.5" in weighed.stdout.partition("> vuna 1.5")[2]


def test_a_taken_port_is_one_sentence(tmp_path: Path) -> None:
    """Nothing is started or made when the pages could not be served."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        with Started("demo", "--port", port, "--no-browser", folder=tmp_path) as demo:
            assert 1 == demo.process.wait(STOPS_WITHIN)

    assert f"Port {port} is taken: choose another with --port.\n" == demo.said
    assert [] == [*tmp_path.iterdir()]


def test_a_folder_with_other_things_is_left_alone(tmp_path: Path) -> None:
    """A demo is never made among somebody's data."""
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "trussline.db").write_text("precious", encoding="utf-8")
    arguments = ("demo", "--port", _free_port(), "--no-browser", "--data", "real")
    with Started(*arguments, folder=tmp_path) as demo:
        assert 1 == demo.process.wait(STOPS_WITHIN)
        assert "real holds something that is no demo: name an empty or a new folder with --data." in demo.said
    assert ["trussline.db"] == [file.name for file in (tmp_path / "real").iterdir()]


def test_up_runs_a_programme_of_ones_own(tmp_path: Path) -> None:
    """After migrate, `up` serves the pages with a worker behind them until it is asked to end."""
    settings, port = tmp_path / "programme.toml", _free_port()
    settings.write_text(
        f'data_dir = "{tmp_path}/data"\nweb_port = {port}\nsimulator_port = {_free_port()}\n',
        encoding="utf-8",
    )
    before = _run("up", settings=settings)
    assert 0 == _run("migrate", settings=settings).returncode

    with Started("up", folder=tmp_path, settings=settings, until="Pages are served") as up:
        never = threading.Event()
        ready = 503
        for _ in range(100):
            ready = _get(port, "/readyz")[0]
            if ready == http.HTTPStatus.OK:
                break
            never.wait(0.1)
        assert 0 == up.ends(signal.SIGTERM)
        assert up.rest().endswith("Stopped.\n")
    assert 200 == ready
    assert (1, True) == (before.returncode, before.stderr.endswith("else correct TRUSSLINE_FILE.\n"))
