"""The parts of the service as processes of their own, on one settings file, as an administrator runs them."""

import os
import signal
import socket
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import text

from service.db.engine import open_engine


def free_port() -> int:
    """Return a port of this machine that nobody uses."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port: int = taken.getsockname()[1]
    return port


@dataclass
class Processes:
    """Commands and parts of one programme, and its database; `folder` is its data folder, with logs of the parts."""

    folder: Path
    file: Path
    running: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    def run(self, *arguments: str) -> str:
        """Run a command to its end and return what it prints."""
        done = subprocess.run(
            self._command(*arguments), env=self._environment(), check=True, stdout=subprocess.PIPE, timeout=60
        )
        return done.stdout.decode()

    def start(self, name: str) -> None:
        """Start a part of the service."""
        with (self.folder / f"{name}.log").open("ab") as log:
            self.running[name] = subprocess.Popen(
                self._command(name), env=self._environment(), stdout=log, stderr=log
            )

    def kill(self, name: str) -> None:
        """Kill a part without a word."""
        process = self.running.pop(name)
        process.send_signal(signal.SIGKILL)
        process.wait(timeout=10)

    def kill_all(self) -> None:
        """Leave nothing running."""
        for name in tuple(self.running):
            self.kill(name)

    def rows(self, statement: str) -> list[dict[str, object]]:
        """Look into the database."""
        engine = open_engine(f"sqlite:///{self.folder / 'trussline.db'}")
        with engine.connect() as connection:
            rows = [dict(row) for row in connection.execute(text(statement)).mappings()]
        engine.dispose()
        return rows

    def _command(self, *arguments: str) -> list[str]:
        return [sys.executable, "-m", "service.cli.main", *arguments]

    def _environment(self) -> dict[str, str]:
        """Return an environment with these settings only."""
        kept = {name: value for name, value in os.environ.items() if not name.startswith("TRUSSLINE_")}  # noqa: TID251
        return {**kept, "TRUSSLINE_FILE": str(self.file)}
