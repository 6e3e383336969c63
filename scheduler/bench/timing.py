"""Timing in turns, and how far memory rises meanwhile."""

import statistics
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, TypeVar

Found = TypeVar("Found")
_KIB_IN_MIB: Final = 1024
_STATUS: Final = Path("/proc/self/status")
_RESET: Final = Path("/proc/self/clear_refs")


class Stopwatch:
    """Keeps what each deed took, round by round."""

    def __init__(self) -> None:
        """Begin without any."""
        self._taken: defaultdict[str, list[float]] = defaultdict(list)

    def time(self, name: str, deed: Callable[[], Found]) -> Found:
        """Do something, keep the seconds it took under `name`, and return what came of it."""
        began = time.perf_counter()
        found = deed()
        self.add(name, time.perf_counter() - began)
        return found

    def add(self, name: str, seconds: float) -> None:
        """Keep seconds that were taken elsewhere."""
        self._taken[name].append(seconds)

    def taken(self, name: str) -> Sequence[float]:
        """Return the seconds of each round."""
        return self._taken[name]

    def median(self, name: str) -> float:
        """Return the median of the seconds."""
        return statistics.median(self._taken[name])


class MemoryWatch:
    """Watches how far this process's resident memory rises, on Linux; elsewhere it sees nothing."""

    def __init__(self) -> None:
        """Forget earlier peaks and remember where memory stands."""
        self._before = 0
        if _STATUS.exists():
            _RESET.write_text("5", encoding="ascii")
            self._before = _status("VmRSS")

    def growth_mb(self) -> float:
        """Return the rise since then, in MiB."""
        return (_status("VmHWM") - self._before) / _KIB_IN_MIB if _STATUS.exists() else 0.0


def _status(name: str) -> int:
    lines = _STATUS.read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(f"{name}:"))
