"""The server: bound before it runs, stopped cleanly however it is asked."""

import http.client
import os
import select
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from service.core.errors import SettingError
from service.web.serve import PageServer, serve
from tests.stand_in_house import StandInHouse, make_house

# What is on its way when a server refuses: the buffers of both sockets hold some megabytes at most.
MOST_UNDER_WAY = 32 * 1024 * 1024
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
    PageServer(house, "127.0.0.1", port).close()

    assert 200 == status
    assert not thread.is_alive()


def _asks(house: StandInHouse, path: str, **headers: str) -> int:
    """Ask a running server, as a proxy on this machine does; return the status."""
    server = PageServer(house, "127.0.0.1", 0)
    thread = threading.Thread(target=server.run)
    thread.start()
    connection = http.client.HTTPConnection(server.url.removeprefix("http://"), timeout=10)
    connection.request(
        "GET", path, headers={name.replace("_", "-"): value for name, value in headers.items()}
    )
    answer = connection.getresponse()
    connection.close()
    server.stop()
    thread.join(timeout=10)
    return answer.status


PASSED_ON = {"Host": "pages.example", "X_Forwarded_For": "192.0.2.7", "X_Forwarded_Proto": "https"}


@pytest.mark.parametrize(
    ("proxy", "path", "status"),
    [
        ("127.0.0.1", "/", 303),
        ("192.0.2.1", "/", 403),
        ("", "/", 403),
        ("127.0.0.1", "/metrics", 403),
        ("", "/metrics", 403),
    ],
    ids=["the proxy", "another than the proxy", "no proxy", "figures by the proxy", "figures by none"],
)
def test_only_the_named_proxy_is_believed(
    tmp_path: Path, house: StandInHouse, proxy: str, path: str, status: int
) -> None:
    """Only it may say that a page was asked for with https; whoever it speaks for gets no figures unasked."""
    url = house.database.engine.url.render_as_string()
    behind = make_house(url, tmp_path, proxy=proxy)

    assert status == _asks(behind, path, **PASSED_ON)


TOLD = {"four gigabytes": b"Content-Length: 4294967296", "no length": b"Transfer-Encoding: chunked"}


@pytest.mark.parametrize("told", TOLD.values(), ids=TOLD.keys())
def test_of_a_body_without_end_little_is_taken(house: StandInHouse, told: bytes) -> None:
    """It is refused while it comes: neither memory nor disk is filled by whoever has no key."""
    server = PageServer(house, "127.0.0.1", 0)
    thread = threading.Thread(target=server.run)
    thread.start()
    host, _, port = server.url.removeprefix("http://").rpartition(":")
    chunk = b"10000\r\n" + b"x" * 0x10000 + b"\r\n"
    sent = 0
    with socket.create_connection((host, int(port)), timeout=10) as line:
        line.sendall(b"POST /hooks/v1/http HTTP/1.1\r\nHost: localhost\r\n" + told + b"\r\n\r\n")
        while not select.select([line], [], [], 0)[0]:
            # It may hang up in the middle of a piece: then it has had enough too.
            with suppress(ConnectionError):
                sent += line.send(chunk)
            assert sent < MOST_UNDER_WAY, "a body without end was taken"
        answer = line.recv(100)
    server.stop()
    thread.join(timeout=10)

    assert answer.startswith(b"HTTP/1.1 413 ")


def test_taken_port_is_one_sentence(house: StandInHouse) -> None:
    """A port that somebody else uses is told with what to do."""
    first = PageServer(house, "127.0.0.1", 0)
    port = int(first.url.rpartition(":")[2])

    with pytest.raises(SettingError, match=f"Port {port} on 127.0.0.1 is taken: stop what uses it"):
        PageServer(house, "127.0.0.1", port)
    first.close()


@pytest.fixture
def signals() -> Iterator[None]:
    """Put this process's handlers back as they were."""
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


def test_foreign_address_is_one_sentence(house: StandInHouse) -> None:
    """An address that is not this machine's is told as such (192.0.2.0/24 is for documentation, RFC 5737)."""
    with pytest.raises(SettingError, match=r"No pages can be served on 192\.0\.2\.1 port 8080"):
        PageServer(house, "192.0.2.1", 8080)


@pytest.mark.usefixtures("signals")
def test_second_signal_does_not_break_the_stop(house: StandInHouse) -> None:
    """Ctrl-C reaches a process twice where its parent passes it on; the server still ends by returning."""
    statuses: list[int] = []
    threads: list[threading.Thread] = []

    def stop_twice(url: str) -> None:
        statuses.append(_answer(url))
        os.kill(os.getpid(), signal.SIGINT)
        os.kill(os.getpid(), signal.SIGTERM)

    def ready(url: str) -> None:
        threads.append(threading.Thread(target=stop_twice, args=(url,)))
        threads[0].start()

    serve(house, "127.0.0.1", 0, ready=ready)
    threads[0].join(timeout=10)

    assert [200] == statuses


@pytest.mark.usefixtures("signals")
@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM], ids=["ctrl-c", "term"])
def test_signal_before_the_first_page_stops_too(stop: signal.Signals, house: StandInHouse) -> None:
    """A signal that comes between binding and serving ends the server as cleanly, and those after it change nothing."""
    urls = []

    def ready(url: str) -> None:
        urls.append(url)
        os.kill(os.getpid(), stop)

    serve(house, "::1", 0, ready=ready)
    os.kill(os.getpid(), stop)

    assert [True] == [url.startswith("http://[::1]:") for url in urls]


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
