"""The server: bound before it runs, stopped cleanly however it is asked."""

import http.client
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from service.core.errors import SettingError
from service.web.serve import PageServer
from tests.stand_in_house import StandInHouse

SERVE = """
import sys
from pathlib import Path
from service.web.serve import serve
from tests.stand_in_house import make_house

folder = Path(sys.argv[1])
house = make_house(f"sqlite:///{folder / 'trussline.db'}", folder)
serve(house, "127.0.0.1", 0, ready=lambda url: print(url, flush=True))
print("stopped", flush=True)
"""


def _answer(url: str) -> int:
    connection = http.client.HTTPConnection(url.removeprefix("http://"), timeout=10)
    connection.request("GET", "/healthz")
    status = connection.getresponse().status
    connection.close()
    return status


def test_server_runs_until_told_to_stop(house: StandInHouse) -> None:
    """Its URL is known before it runs; after `stop` it returns and the port is free again."""
    server = PageServer(house, "127.0.0.1", 0)
    thread = threading.Thread(target=server.run)
    thread.start()
    status = _answer(server.url)
    server.stop()
    thread.join(timeout=10)
    port = int(server.url.rpartition(":")[2])
    again = PageServer(house, "127.0.0.1", port)
    again.stop()
    again.run()

    assert 200 == status
    assert not thread.is_alive()


def test_taken_port_is_one_sentence(house: StandInHouse) -> None:
    """A port that somebody else uses is told with what to do."""
    first = PageServer(house, "127.0.0.1", 0)
    port = int(first.url.rpartition(":")[2])

    with pytest.raises(SettingError, match=f"Port {port} on 127.0.0.1 is taken: stop what uses it"):
        PageServer(house, "127.0.0.1", port)
    first.stop()
    first.run()


@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM], ids=["ctrl-c", "term"])
def test_process_stops_cleanly_on_signals(stop: signal.Signals, house: StandInHouse) -> None:
    """Either signal, even several at once, ends the server with its last words and without a traceback."""
    folder = house.settings.data_dir
    root = Path(__file__).parents[3]
    with subprocess.Popen(
        [sys.executable, "-c", SERVE, str(folder)],
        cwd=root,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        url = next(line for line in process.stdout if line.startswith("http://")).strip()
        status = _answer(url)
        process.send_signal(stop)
        process.send_signal(signal.SIGINT)
        said, complained = process.communicate(timeout=20)

    assert (200, 0) == (status, process.returncode)
    assert "stopped" in said.splitlines()
    assert "Traceback" not in complained
