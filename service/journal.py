"""The send journal as files: lines of JSON that are only ever appended, in a folder that only we may read.

`sent-000001.jsonl` and those after it hold departures and what came of them, `refusals.jsonl` who stopped and who
was erased. A line cut off by a power cut is passed over. Numbers stand here only as keyed digests, and no words of
any text.
"""

import json
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final

from service.core.journal import Departed, Departure, JournalError, Outcome, Refusals
from service.ending import end_unsynced

LONGEST_FILE: Final = 8 * 1024 * 1024
# 40 files are about a million texts: far more than are sent between two backups.
MOST_FILES: Final = 40
_SENT: Final = "sent-*.jsonl"
_REFUSALS: Final = "refusals.jsonl"
_LEAVING, _ENDED = "leaving", "ended"


class MemoryJournal:
    """A journal that lasts as long as its process: for tests of what does not restart."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self._departures: list[Departure] = []
        self._ends: dict[str, tuple[Outcome, str | None]] = {}
        self._refusals = Refusals()

    def leaving(self, departures: Sequence[Departure]) -> None:
        """Keep that these texts are about to leave."""
        self._departures += departures

    def ended(self, reference: str, outcome: Outcome, gateway_ref: str | None = None) -> None:
        """Keep what came of a try."""
        self._ends[reference] = (outcome, gateway_ref)

    def newest_first(self) -> Iterator[tuple[Departed, ...]]:
        """Yield all that left in one stretch."""
        if self._departures:
            yield tuple(_departed(one, self._ends) for one in self._departures)

    def refusals(self) -> Refusals:
        """Return who had said stop and who had been erased."""
        return self._refusals

    def keep_refusals(self, refusals: Refusals) -> None:
        """Keep who has said stop, and add who has been erased: that is for good."""
        self._refusals = Refusals(stopped=refusals.stopped, erased=self._refusals.erased | refusals.erased)


class FileJournal:
    """A journal in a folder of its own, best on another disk than the database."""

    def __init__(self, folder: Path, *, longest: int = LONGEST_FILE, most: int = MOST_FILES) -> None:
        """Keep the journal in `folder`, which is made when there is something to keep.

        Args:
            folder: where.
            longest: bytes after which a new file is begun.
            most: files that are kept; older ones go.
        """
        self._folder = folder
        self._longest = longest
        self._most = most
        self._known: Refusals | None = None
        self._writing: Path | None = None
        self._named: set[Path] = set()

    def leaving(self, departures: Sequence[Departure]) -> None:
        """Keep that these texts are about to leave; when this returns they are on disk."""
        lines = [{"what": _LEAVING, **_plain(one)} for one in departures]
        self._append(self._current(), lines, to_disk=True)

    def ended(self, reference: str, outcome: Outcome, gateway_ref: str | None = None) -> None:
        """Keep what came of a try."""
        line = {"what": _ENDED, "reference": reference, "outcome": outcome, "gateway_ref": gateway_ref}
        # The next batch's sync takes this line to disk with it; lost, it leaves a doubt and no second text.
        self._append(self._current(), [line], to_disk=False)

    def newest_first(self) -> Iterator[tuple[Departed, ...]]:
        """Yield what left file by file, the newest first."""
        ends: dict[str, tuple[Outcome, str | None]] = {}
        for file in reversed(self._files()):
            lines = list(_read(file))
            # A try's end may stand in the file after the one it began in, never before.
            ends.update(
                (line["reference"], (Outcome(line["outcome"]), line["gateway_ref"]))
                for line in lines
                if line["what"] == _ENDED
            )
            began = [_departure(line) for line in lines if line["what"] == _LEAVING]
            if began:
                yield tuple(_departed(one, ends) for one in began)

    def refusals(self) -> Refusals:
        """Return who had said stop and who had been erased when the journal was last written."""
        stopped: set[bytes] = set()
        erased: set[int] = set()
        what_to_do: dict[str, Callable[[Any], None]] = {
            "stop": lambda value: stopped.add(bytes.fromhex(value)),
            "start": lambda value: stopped.discard(bytes.fromhex(value)),
            "erase": erased.add,
        }
        for line in _read(self._folder / _REFUSALS):
            what_to_do[line["what"]](line["value"])
        return Refusals(stopped=frozenset(stopped), erased=frozenset(erased))

    def keep_refusals(self, refusals: Refusals) -> None:
        """Append what has changed since this was last called; the first time, since the journal was last written."""
        known = self.refusals() if self._known is None else self._known
        lines = [
            *_changes("stop", (one.hex() for one in sorted(refusals.stopped - known.stopped))),
            *_changes("start", (one.hex() for one in sorted(known.stopped - refusals.stopped))),
            *_changes("erase", sorted(refusals.erased - known.erased)),
        ]
        if lines:
            self._append(self._folder / _REFUSALS, lines, to_disk=True)
        self._known = refusals

    def _files(self) -> list[Path]:
        return sorted(self._folder.glob(_SENT))

    def _current(self) -> Path:
        """Return the file to write to, having begun a new one and let the oldest go where it is time."""
        if self._writing is None:
            self._writing = self._next()
        return self._writing

    def _next(self) -> Path:
        files = self._files()
        number = int(files[-1].stem.partition("-")[2]) if files else 1
        if files and files[-1].stat().st_size >= self._longest:
            number += 1
            for old in files[: len(files) + 1 - self._most]:
                old.unlink()
        return self._folder / f"sent-{number:06d}.jsonl"

    def _append(self, file: Path, lines: Iterable[dict[str, Any]], *, to_disk: bool) -> None:
        # A line feed first: after a power cut the file may end in half a line, which would spoil ours.
        written = "".join(f"\n{json.dumps(line, default=str, separators=(',', ':'))}" for line in lines)
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
            try:
                _write_all(handle, written.encode())
                if to_disk:
                    self._sync(handle, file)
                if os.fstat(handle).st_size >= self._longest:
                    self._writing = None
            finally:
                os.close(handle)
        except OSError as error:
            raise JournalError(
                f"The send journal {file} cannot be written ({error.strerror}), so nothing is sent: "
                "make room on that disk, or name another folder as journal_dir."
            ) from error

    def _sync(self, handle: int, file: Path) -> None:
        """Wait until a file, and its name in the folder, would outlast a power cut."""
        try:
            os.fsync(handle)
            if file not in self._named:
                folder = os.open(self._folder, os.O_RDONLY)
                try:
                    os.fsync(folder)
                finally:
                    os.close(folder)
                self._named.add(file)
        except OSError as error:
            end_unsynced(f"The send journal {file}", str(error.strerror))


def _write_all(handle: int, data: bytes) -> None:
    while data:
        data = data[os.write(handle, data) :]


def _changes(what: str, values: Iterable[object]) -> Iterator[dict[str, Any]]:
    return ({"what": what, "value": value} for value in values)


def _read(file: Path) -> Iterator[dict[str, Any]]:
    """Yield the lines of a file; one that was cut off is passed over."""
    try:
        text = file.read_text(encoding="utf-8", errors="replace")
    except FileNotFoundError:
        return
    except OSError as error:
        raise JournalError(f"The send journal {file} cannot be read ({error.strerror}).") from error
    for line in text.splitlines():
        try:
            found = json.loads(line)
        except ValueError:
            continue
        if isinstance(found, dict):
            yield found


def _plain(departure: Departure) -> dict[str, Any]:
    return {
        **asdict(departure),
        "at": departure.at.isoformat(),
        "phone": departure.phone.hex(),
        "expires_at": departure.expires_at.isoformat(),
    }


def _departure(line: dict[str, Any]) -> Departure:
    given = {name: value for name, value in line.items() if name != "what"}
    return Departure(
        **{
            **given,
            "at": datetime.fromisoformat(line["at"]),
            "queued_on": date.fromisoformat(line["queued_on"]),
            "phone": bytes.fromhex(line["phone"]),
            "expires_at": datetime.fromisoformat(line["expires_at"]),
            "jobs": tuple(line["jobs"]),
            "scopes": tuple(line["scopes"]),
            "paid_on": date.fromisoformat(line["paid_on"]),
        }
    )


def _departed(departure: Departure, ends: dict[str, tuple[Outcome, str | None]]) -> Departed:
    outcome, gateway_ref = ends.get(departure.reference, (Outcome.DOUBT, None))
    return Departed(departure=departure, outcome=outcome, gateway_ref=gateway_ref)
