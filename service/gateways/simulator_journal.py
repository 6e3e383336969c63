"""The simulated network's journal: one line of JSON for each text it took, written before anyone hears of it.

Another process can therefore count what the network really did, whatever becomes of the service that asked:
it is the judge of tests that kill the service, and what handsets are restored from.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from pydantic import TypeAdapter, ValidationError

from service.core.errors import TrusslineError
from service.gateways.simulator_texts import TakenText

_LINE: Final = TypeAdapter(TakenText)
# Numbers stand in it in clear: a journal has to show who received what.
_OWNER_ONLY: Final = 0o600


class JournalError(TrusslineError):
    """A journal holds something that no network wrote."""

    def __init__(self, path: Path, number: int) -> None:
        """Name the file and the line."""
        super().__init__(
            f"{path}, line {number} is not a text that was taken: move the file away to start anew"
        )


class Journal:
    """An append-only file of taken texts. One process at a time may hold it."""

    def __init__(self, path: Path, *, fsync: bool = False) -> None:
        """Open `path`, making it where it is missing.

        Args:
            path: the file.
            fsync: whether each line is on the disk before `append` returns; without it a line survives the
                death of this process but not of the machine.
        """
        self.path = path
        self._fsync = fsync
        self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, _OWNER_ONLY)
        self._end = self._drop_torn_line()

    def append(self, taken: TakenText) -> None:
        """Write one text down.

        Raises:
            OSError: if it could not be written; nothing of it is then left behind.
        """
        line = _LINE.dump_json(taken) + b"\n"
        try:
            _write_all(self._file, line)
            if self._fsync:
                os.fsync(self._file)
        except OSError:
            os.ftruncate(self._file, self._end)
            raise
        self._end += len(line)

    def past(self) -> Iterator[TakenText]:
        """Yield what was written so far, oldest first.

        Raises:
            JournalError: if a line cannot be read.
        """
        with self.path.open("rb") as lines:
            for number, line in enumerate(lines, start=1):
                try:
                    yield _LINE.validate_json(line)
                except ValidationError as error:
                    raise JournalError(self.path, number) from error

    def close(self) -> None:
        """Close the file; closing twice is as closing once."""
        if self._file >= 0:
            os.close(self._file)
            self._file = -1

    def _drop_torn_line(self) -> int:
        """Cut off a last line that has no end, and return the length that is left.

        Such a line was never finished, so its text was never answered for: it was not taken.
        """
        content = self.path.read_bytes()
        whole = content.rfind(b"\n") + 1
        if whole < len(content):
            os.ftruncate(self._file, whole)
        return whole


def _write_all(file: int, data: bytes) -> None:
    while data:
        data = data[os.write(file, data) :]
