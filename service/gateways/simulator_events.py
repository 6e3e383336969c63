"""Events on their way to us: held until due, handed over until acknowledged."""

import heapq
import itertools
from collections.abc import Iterable
from datetime import datetime

from service.core.gateway import Event


class EventQueue:
    """What a network has to tell us, in the order in which it falls due. Not safe over threads by itself."""

    def __init__(self) -> None:
        """Begin with nothing to tell."""
        self._order = itertools.count()
        self._coming: list[tuple[datetime, int, Event]] = []
        self._waiting: dict[str, Event] = {}

    def put(self, event: Event, due: datetime) -> None:
        """Hand `event` over from the instant `due` on."""
        # The running number keeps events of one instant in order, and the heap from comparing events.
        heapq.heappush(self._coming, (due, next(self._order), event))

    def waiting(self, limit: int, now: datetime) -> tuple[Event, ...]:
        """Return up to `limit` events that are due at `now` and not acknowledged, oldest first."""
        while self._coming and self._coming[0][0] <= now:
            _, _, event = heapq.heappop(self._coming)
            self._waiting[event.event_id] = event
        return tuple(itertools.islice(self._waiting.values(), max(limit, 0)))

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Forget these events; unknown ids are ignored."""
        for event_id in event_ids:
            self._waiting.pop(event_id, None)
