"""The simulated network as a gateway inside this process: the in-memory twin of every other adapter.

Tests, dry runs and a demo in one process use it. It keeps the port's promises to the letter, and lets a
caller pull the plug so that outages can be lived through without a socket.
"""

import threading
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Final

from service.core.gateway import (
    Accepted,
    AnswerLost,
    Event,
    Health,
    Limits,
    NotSent,
    OutgoingText,
    Refused,
    Unreachable,
)
from service.gateways.simulator_network import SimulatedNetwork
from service.gateways.simulator_texts import HandsetText

# A network in memory has no pace of its own; this is more than any licensed link gives.
SIMULATOR_LIMITS: Final = Limits(per_second=1000.0, window=1)


def hold_back(seconds: float) -> None:
    """Let real time pass, as a slow network does."""
    threading.Event().wait(seconds)


class SimulatorGateway:
    """The network behind the gateway port and, for practice phones, `PracticeNetwork`."""

    def __init__(
        self,
        network: SimulatedNetwork,
        *,
        clock: Callable[[], datetime],
        name: str = "simulator",
        limits: Limits = SIMULATOR_LIMITS,
        pause: Callable[[float], None] = hold_back,
    ) -> None:
        """Open `network` under `name`.

        Args:
            network: the network to open.
            clock: returns the present instant, aware; the network lives in this time.
            name: the name it is configured under.
            limits: how fast it may be used.
            pause: called with the real seconds for which an answer is held back. What it does happens between
                the text's arrival and its answer.
        """
        self.name = name
        self.limits = limits
        self._network = network
        self._clock = clock
        self._pause = pause
        self._why_down: str | None = None
        self._closed = False

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Hand one text to the network; see `Gateway.send`."""
        if self._why_down is not None:
            raise NotSent(self._why_down)
        outcome = self._network.send(text, self._clock())
        if outcome.hold:
            self._pause(outcome.hold)
        if outcome.answer is None:
            raise AnswerLost(f"text {text.our_ref}: the network did not answer")
        return outcome.answer

    def events(self, limit: int) -> tuple[Event, ...]:
        """Return what waits; see `Gateway.events`."""
        self._reach()
        return self._network.events(limit, self._clock())

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Forget what is safely stored; see `Gateway.acknowledge`."""
        self._reach()
        self._network.acknowledge(event_ids)

    def health(self) -> Health:
        """Return whether texts could leave now."""
        return Health(up=self._why_down is None, detail=self._why_down or "the network in this process is up")

    def close(self) -> None:
        """Let go of the network for good."""
        self._closed = True
        self._why_down = f"{self.name} is closed"

    def unplug(self) -> None:
        """Begin an outage: nothing leaves and nothing arrives until `plug_in`."""
        self._why_down = self._why_down or f"{self.name} is unplugged"

    def plug_in(self) -> None:
        """End an outage; a closed gateway stays closed."""
        if not self._closed:
            self._why_down = None

    def inbox(self, number: str, after: int = 0) -> tuple[HandsetText, ...]:
        """Return what a phone received; see `PracticeNetwork.inbox`."""
        self._reach()
        return self._network.inbox(number, after)

    def text_in(self, *, source: str, destination: str, text: str) -> str:
        """Let a phone text in; see `PracticeNetwork.text_in`."""
        if self._why_down is not None:
            raise NotSent(self._why_down)
        return self._network.text_in(source=source, destination=destination, text=text, now=self._clock())

    def _reach(self) -> None:
        if self._why_down is not None:
            raise Unreachable(self._why_down)
