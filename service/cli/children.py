"""Processes that live and end together.

They are started in order and stopped in the reverse order, each waited for. A child has a session of its own, so that
Ctrl-C at the terminal reaches only the parent, which then stops one after the other. Its standard input is a pipe from
the parent that carries nothing: when the parent is killed, the pipe ends, and the child with it.
"""

import signal
import subprocess
import sys
import threading
from collections.abc import Mapping
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from types import FrameType, TracebackType
from typing import Any, Final, Self

from service.core.errors import Refused

# A worker that is in the middle of texts finishes them first.
_PATIENCE: Final = 20.0
_GLANCE: Final = 0.2
_SIGNALS: Final = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


@dataclass(frozen=True, kw_only=True, slots=True)
class Child:
    """One process; `log` is the file its words go to, None where they go where the parent's go."""

    name: str
    process: subprocess.Popen[str]
    log: Path | None

    @property
    def farewell(self) -> str:
        """Return one sentence on how it ended, with the last words of its log."""
        said = (
            f"{self.name} ended by itself with exit code {self.process.returncode}, so everything was stopped"
        )
        if self.log is None:
            return f"{said}."
        words = [line for line in self.log.read_text(encoding="utf-8", errors="replace").splitlines() if line]
        return (
            f"{said}; {self.log} ends with: {words[-1]}"
            if words
            else f"{said}; it said nothing in {self.log}."
        )


class Children:
    """Starts children and stops them; used as a context, whose end stops them all."""

    def __init__(self, *, environment: Mapping[str, str] | None = None, logs: Path | None = None) -> None:
        """Start children with `environment`, this process's own where none is given.

        Args:
            environment: the variables they see.
            logs: the folder for a log of each; without it they write where this process writes.
        """
        self._environment = environment
        self._logs = logs
        self._children: list[Child] = []
        self._before: dict[signal.Signals, Any] = {}
        self._asked = False

    def __enter__(self) -> Self:
        """Begin to listen for the wish to stop."""
        self._before = {number: signal.signal(number, self._ask) for number in _SIGNALS}
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop all children, the youngest first."""
        for child in reversed(self._children):
            _stop(child)
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def start(self, name: str, *arguments: str, told: bool = False) -> Child:
        """Start `trussline NAME ARGUMENTS`; with `told`, its standard output is kept for `first_line`."""
        command = (sys.executable, "-P", "-m", "service.cli.main", "--with-parent", name, *arguments)
        log = self._logs / f"{name}.log" if self._logs else None
        if log:
            log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8") if log else nullcontext() as words:
            process = subprocess.Popen(  # noqa: S603 - our own command, no shell
                command,
                env=self._environment,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE if told else words,
                stderr=words,
                start_new_session=True,
                text=True,
            )
        child = Child(name=name, process=process, log=log)
        self._children.append(child)
        return child

    def first_line(self, child: Child) -> str:
        """Wait for the first line of a child started with `told`.

        Raises:
            Refused: it ended without one.
        """
        line = child.process.stdout.readline() if child.process.stdout else ""
        if not line:
            child.process.wait(_PATIENCE)
            raise Refused(child.farewell)
        return line.strip()

    def stopping(self) -> bool:
        """Return whether it is time to stop: a signal came.

        Raises:
            Refused: one of the children has ended by itself.
        """
        dead = next((child for child in self._children if child.process.poll() is not None), None)
        if dead is not None and not self._asked:
            raise Refused(dead.farewell)
        return self._asked

    def wait(self) -> None:
        """Wait for a signal.

        Raises:
            Refused: one of the children has ended by itself.
        """
        # Nobody ever sets this: a signal handler that did could find its lock held by the very wait it interrupts.
        never = threading.Event()
        while not self.stopping():
            never.wait(_GLANCE)

    def _ask(self, _number: int, _frame: FrameType | None) -> None:
        self._asked = True


def _stop(child: Child) -> None:
    process = child.process
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(_PATIENCE)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
    for pipe in (process.stdin, process.stdout):
        if pipe:
            pipe.close()
