"""Processes that live and end together, tried with real commands of our own."""

import signal
import socket
from pathlib import Path

import pytest

from service.cli.children import Children
from service.core.errors import Refused
from service.settings import environment_for


@pytest.fixture
def settings(tmp_path: Path) -> Path:
    """A settings file whose data lie in the test's folder."""
    file = tmp_path / "programme.toml"
    file.write_text(f'data_dir = "{tmp_path}/data"\n', encoding="utf-8")
    return file


def test_the_first_line_of_a_child_is_heard(settings: Path, tmp_path: Path) -> None:
    """The network tells its port, and somebody listens there until the context ends."""
    with Children(environment=environment_for(settings), logs=tmp_path / "logs") as children:
        port = int(children.first_line(children.start("simulator", "--port", "0", told=True)))
        socket.create_connection(("127.0.0.1", port)).close()
        assert not children.stopping()

    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", port))


def test_a_child_that_ends_is_told_with_its_last_words(settings: Path, tmp_path: Path) -> None:
    """Waiting ends with the name, the exit code and what its log says."""
    with Children(environment=environment_for(settings), logs=tmp_path / "logs") as children:
        children.start("worker")
        with pytest.raises(Refused) as refusal:
            children.wait()

    assert str(refusal.value).startswith(
        "worker ended by itself with exit code 1, so everything was stopped; "
    )
    assert str(refusal.value).endswith("else correct TRUSSLINE_FILE.")


def test_a_child_without_a_first_line_is_told_too(settings: Path, tmp_path: Path) -> None:
    """Whoever waits for the port of a network that cannot start does not wait for ever."""
    with (
        socket.create_server(("127.0.0.1", 0)) as taken,
        Children(environment=environment_for(settings), logs=tmp_path / "logs") as children,
    ):
        port = str(taken.getsockname()[1])
        child = children.start("simulator", "--port", port, told=True)
        with pytest.raises(Refused, match=f"cannot start on port {port}"):
            children.first_line(child)


def test_a_signal_ends_the_waiting(settings: Path, tmp_path: Path) -> None:
    """SIGTERM is a wish to stop, and the process's own handling of it returns afterwards."""
    before = signal.getsignal(signal.SIGTERM)
    with Children(environment=environment_for(settings), logs=tmp_path / "logs") as children:
        children.first_line(children.start("simulator", "--port", "0", told=True))
        signal.raise_signal(signal.SIGTERM)
        children.wait()

    assert before == signal.getsignal(signal.SIGTERM)
