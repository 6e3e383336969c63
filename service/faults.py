"""Named points at which a test can kill this process, to prove that nothing is lost when it dies there.

A point does nothing unless TRUSSLINE_TEST_KILL names it, as in `wired:3`: die at the third passing. A process that
was forked to die is told so with `die_at`.
"""

import os
import signal
from collections import Counter

from service.settings import kill_point

POINTS = ("claimed", "wired", "acked", "stored")
_passed: Counter[str] = Counter()
_told: list[str] = []


def die_at(name: str, passing: int) -> None:
    """Have this process die at that passing of the point `name`, counted from now."""
    _passed.clear()
    _told[:] = [f"{name}:{passing}"]


def point(name: str) -> None:
    """Pass the point `name`, or die at it as a power cut would: no clean-up runs."""
    if name not in POINTS:
        raise LookupError(f"{name} is no kill point: {', '.join(POINTS)}")
    wanted, _, count = (_told[0] if _told else kill_point()).partition(":")
    if wanted != name:
        return
    _passed[name] += 1
    if _passed[name] >= int(count or 1):
        os.kill(os.getpid(), signal.SIGKILL)
