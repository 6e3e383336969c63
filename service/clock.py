"""The one home of time.

Two clocks exist. *Real time* serves what concerns machines and people at a screen: sessions, one-time codes.
*Service time* serves the calendar and the outbox; it equals real time except in the demo, where an offset kept
in the database moves it forward. Everything below the edges takes instants and days as arguments.
"""

import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Final, Protocol
from zoneinfo import ZoneInfo

_BOOT_ID: Final = Path("/proc/sys/kernel/random/boot_id")


class Clock(Protocol):
    """Tells the time."""

    def now(self) -> datetime:
        """Return the present instant, aware, in UTC."""
        ...


class RealClock:
    """The machine's clock."""

    def now(self) -> datetime:
        """Return the present instant, aware, in UTC."""
        return datetime.now(tz=UTC)


class ShiftedClock:
    """A clock moved by an offset that is asked for anew each time, so that all processes move together."""

    def __init__(self, base: Clock, offset: Callable[[], timedelta]) -> None:
        """Shift `base` by whatever `offset` returns at the moment of asking."""
        self._base = base
        self._offset = offset

    def now(self) -> datetime:
        """Return the shifted instant, aware, in UTC."""
        return self._base.now() + self._offset()


@dataclass(frozen=True, kw_only=True, slots=True)
class Pulse:
    """How long a machine has been up; to be compared only with another pulse of the same `boot`.

    Attributes:
        boot: names one start of one machine.
        seconds: since then, sleep included; nobody can set this clock.
    """

    boot: str
    seconds: float


class SteadyClock(Protocol):
    """Tells how much time has passed, whatever the machine's clock is set to."""

    def pulse(self) -> Pulse:
        """Return how long the machine has been up."""
        ...


class BootClock:
    """The time since the machine was started."""

    def pulse(self) -> Pulse:
        """Return how long the machine has been up.

        Where the system has no clock that counts sleep, its pulses can be compared within this process only.
        """
        if sys.platform != "linux":
            return Pulse(boot=f"process {os.getpid()}", seconds=time.monotonic())
        boot = _BOOT_ID.read_text(encoding="ascii").strip()
        return Pulse(boot=boot, seconds=time.clock_gettime(time.CLOCK_BOOTTIME))


class HandClock:
    """A clock moved by hand: for tests and for planning a day that is not today."""

    def __init__(self, start: datetime) -> None:
        """Begin at `start`, which must be aware."""
        self._now = start.astimezone(UTC)

    def now(self) -> datetime:
        """Return the instant it was last set to."""
        return self._now

    def advance(self, step: timedelta) -> datetime:
        """Move forward by `step` and return the new instant."""
        self._now += step
        return self._now

    def set(self, instant: datetime) -> None:
        """Move to `instant`, which must be aware."""
        self._now = instant.astimezone(UTC)

    def pulse(self) -> Pulse:
        """Return a pulse that goes as this clock does: it is its own steady clock, and never jumps."""
        return Pulse(boot="by hand", seconds=self._now.timestamp())


def local_day(instant: datetime, zone: str) -> date:
    """Return the calendar day that `instant` falls on in the IANA zone `zone`."""
    return instant.astimezone(ZoneInfo(zone)).date()


# Thousands of texts leave at the same few hours of a day.
@lru_cache(maxsize=256)
def local_instant(day: date, hour: int, zone: str) -> datetime:
    """Return the UTC instant at which `day` reaches `hour` o'clock in `zone`.

    Where clocks are put forward the hour may not exist: the instant then lies as long after the gap's end as the
    hour lay after its beginning, on the same day. Where it comes twice the first is meant.
    """
    wall = datetime(day.year, day.month, day.day, hour, tzinfo=ZoneInfo(zone))
    return wall.astimezone(UTC)
