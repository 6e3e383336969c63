"""Ticks: APScheduler wakes the planner, and does nothing else. Nothing it holds needs to survive.

Jobs of the service live in the database; a tick asks what is due and may come late, twice or not at all.
"""

from collections.abc import Callable
from datetime import UTC
from typing import Final

from apscheduler.schedulers.background import BackgroundScheduler

SECONDS: Final = 30


class Ticks:
    """Calls a function every half minute, never twice at a time."""

    def __init__(self, tick: Callable[[], None], *, seconds: float = SECONDS) -> None:
        """Call `tick` every `seconds`."""
        self._scheduler = BackgroundScheduler(timezone=UTC)
        self._scheduler.add_job(
            tick,
            "interval",
            seconds=seconds,
            coalesce=True,
            max_instances=1,
            # However late a tick is, it is run: what it does depends on the clock alone.
            misfire_grace_time=None,
        )

    def start(self) -> None:
        """Begin to tick."""
        self._scheduler.start()

    def stop(self) -> None:
        """End after the tick that is running."""
        self._scheduler.shutdown(wait=True)
