"""Serves the pages with waitress, until the process is asked to stop."""

import errno
import signal
import socket
from collections.abc import Callable
from types import FrameType
from typing import Any

from waitress import wasyncore  # type: ignore[import-untyped] # waitress carries no types
from waitress.server import create_server  # type: ignore[import-untyped] # as above

from service.core.errors import SettingError
from service.logs import logger
from service.web.app import create_app
from service.web.house import House


class PageServer:
    """A server that is bound to its port already, so that its URL can be told before it runs."""

    def __init__(self, house: House, host: str, port: int) -> None:
        """Bind to `host` and `port`; port 0 takes any that is free.

        Raises:
            SettingError: the port is taken or may not be used.
        """
        listener = _bind(host, port)
        shown = f"[{host}]" if ":" in host else host
        self.url = f"http://{shown}:{listener.getsockname()[1]}"
        # All sockets that the server's loop watches, by their number; those it has let go of.
        self._watched: dict[int, Any] = {}
        self._let_go: dict[int, Any] = {}
        self._server = create_server(
            create_app(house),
            map=self._watched,
            sockets=[listener],
            threads=house.settings.web_threads,
            # What serves the pages is nobody's business.
            ident=None,
        )

    def run(self) -> None:
        """Serve until `stop`, or an interrupt; pages being made are finished first."""
        self._server.run()
        self._server.task_dispatcher.shutdown()
        wasyncore.close_all(self._watched | self._let_go)
        self._server.close()

    def stop(self) -> None:
        """Let `run` return soon; any thread may ask."""
        self._server.trigger.pull_trigger(self._let_all_go)

    def _let_all_go(self) -> None:
        """End the loop: it runs as long as it has a socket to watch."""
        self._let_go.update(self._watched)
        self._watched.clear()


def serve(house: House, host: str, port: int, ready: Callable[[str], None] | None = None) -> None:
    """Serve the pages until SIGINT or SIGTERM.

    Args:
        house: the running service.
        host: the address to listen on.
        port: the port; 0 takes any that is free.
        ready: called once with the URL of the pages, when they can be opened.

    Raises:
        SettingError: the port is taken or may not be used.
    """
    server = PageServer(house, host, port)
    _stop_on_signals()
    logger().info("web_started", url=server.url)
    if ready is not None:
        ready(server.url)
    server.run()
    logger().info("web_stopped")


def _stop_on_signals() -> None:
    """Take either signal as waitress takes Ctrl-C: the wish to stop cleanly.

    Ctrl-C reaches all processes of a terminal, and a parent may pass it on: only the first interrupts, or the
    second would break the stop.
    """
    first = iter((True,))

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        if next(first, False):
            raise KeyboardInterrupt

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, interrupt)


def _bind(host: str, port: int) -> socket.socket:
    try:
        family, *_ = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        return socket.create_server((host, port), family=family)
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            sentence = f"Port {port} on {host} is taken: stop what uses it or choose another web_port."
        else:
            sentence = f"No pages can be served on {host} port {port} ({error.strerror}): choose another one."
        raise SettingError(sentence) from error
