"""Room on the disk that the database lies on, and a reserve of it for the day it runs out.

While there is little room nothing is pushed. When there is next to none, the reserve is let go, so that a STOP can
still be stored and answered; it is filled again once there is room.
"""

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Final

RESERVE_BYTES: Final = 16 * 1024 * 1024


def free_bytes(folder: Path) -> int:
    """Return how many bytes can still be written below `folder`, which need not be there yet."""
    there = next(path for path in (folder, *folder.absolute().parents) if path.exists())
    return shutil.disk_usage(there).free


class Room:
    """Minds the room in one folder."""

    def __init__(self, folder: Path, least: int, *, free: Callable[[], int] | None = None) -> None:
        """Mind `folder`.

        Args:
            folder: where the database lies.
            least: bytes under which nothing is pushed.
            free: tells how many bytes are free; the disk is asked where none is given.
        """
        self.least = least
        self._reserve = folder / "reserve"
        self._free = free or (lambda: free_bytes(folder))

    def enough(self) -> bool:
        """Return whether texts may be pushed, having let go of the reserve or filled it as the room asks for."""
        free = self._free()
        if free < RESERVE_BYTES:
            self._reserve.unlink(missing_ok=True)
        elif free >= self.least + RESERVE_BYTES and not self._reserve.exists():
            self._fill()
        return free >= self.least

    def _fill(self) -> None:
        try:
            handle = os.open(self._reserve, os.O_WRONLY | os.O_CREAT, 0o600)
        except OSError:
            # A folder that cannot be written to is found out by whoever needs it; a reserve is only that.
            return
        try:
            os.posix_fallocate(handle, 0, RESERVE_BYTES)
        except OSError:
            self._reserve.unlink()
        finally:
            os.close(handle)
