"""Serves the pages with waitress, until the process is asked to stop."""

import errno
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from types import FrameType
from typing import Any, Final

from waitress import wasyncore  # type: ignore[import-untyped] # waitress carries no types
from waitress.server import create_server  # type: ignore[import-untyped] # as above

from service.core.errors import SettingError
from service.logs import logger
from service.web.app import create_app
from service.web.hooks.signed import LONGEST_BODY
from service.web.house import House

_STOPS: Final = (signal.SIGINT, signal.SIGTERM)
# The server would keep a body of up to a gigabyte in a file before anything of ours is asked. What is a little too
# long still gets our own answer.
_LONGEST_TAKEN: Final = 2 * LONGEST_BODY


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
            max_request_body_size=_LONGEST_TAKEN,
            # What serves the pages is nobody's business.
            ident=None,
            **_proxy(house.settings.proxy),
        )

    def run(self) -> None:
        """Serve until `stop`, or an interrupt, and close."""
        try:
            self._server.run()
        finally:
            self.close()

    def close(self) -> None:
        """Finish the pages being made and let go of the port; closing twice is as closing once."""
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


def _proxy(address: str) -> dict[str, Any]:
    """Return what the server is told of a reverse proxy: whose word it takes for where a request comes from."""
    if not address:
        # Left as they are, they tell that a request was passed on; nothing believes what they say.
        return {"clear_untrusted_proxy_headers": False}
    believed = {"x-forwarded-for", "x-forwarded-proto", "x-forwarded-host"}
    return {"trusted_proxy": address, "trusted_proxy_headers": believed}


def serve(house: House, host: str, port: int, ready: Callable[[str], None]) -> None:
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
    with closing(server), _stopping_on_signals(), suppress(KeyboardInterrupt):
        logger().info("web_started", url=server.url)
        ready(server.url)
        server.run()
    logger().info("web_stopped")


@contextmanager
def _stopping_on_signals() -> Iterator[None]:
    """Take either signal as Ctrl-C: the wish to stop cleanly.

    Ctrl-C reaches all processes of a terminal, and a parent may pass it on: only the first interrupts, or the
    second would break the stop. Afterwards they are ignored, for this process has nothing left to do but end.
    """
    first = iter((True,))

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        if next(first, False):
            raise KeyboardInterrupt

    for number in _STOPS:
        signal.signal(number, interrupt)
    try:
        yield
    finally:
        # Held back meanwhile: a signal between its arrival and its handler would find the handler gone.
        signal.pthread_sigmask(signal.SIG_BLOCK, _STOPS)
        for number in _STOPS:
            signal.signal(number, signal.SIG_IGN)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)


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
