"""Trial mode: a real gateway that reaches a few listed phones, and nobody else.

Texts whose wording still waits for its reviewers can so be tried on phones of people who know. The example peer of the
project reaches no phone at all, so it may be given every text.
"""

from collections.abc import Collection, Iterable, Sequence
from typing import Protocol

from service.core.gateway import Accepted, Event, Gateway, Health, Limits, OutgoingText, RefusalClass, Refused


class TriedGateway(Gateway, Protocol):
    """A gateway that can say whether it is the example peer."""

    def is_example_peer(self) -> bool:
        """Return whether no phone can be reached through it."""
        ...


class TrialGateway:
    """A `Gateway` that refuses all numbers but those listed."""

    def __init__(self, gateway: TriedGateway, allowed: Collection[str]) -> None:
        """Stand before `gateway`; `allowed` are numbers in E.164 form."""
        self._gateway = gateway
        self._allowed = frozenset(allowed)
        self._is_harmless = False

    @property
    def name(self) -> str:
        """The gateway's name."""
        return self._gateway.name

    @property
    def limits(self) -> Limits:
        """The gateway's limits."""
        return self._gateway.limits

    def send(self, text: OutgoingText) -> Accepted | Refused:
        """Hand over a text for a listed number; see `Gateway.send`."""
        if text.destination in self._allowed or self._reaches_nobody():
            return self._gateway.send(text)
        return Refused(
            reason=RefusalClass.PERMANENT,
            code="trial",
            detail="trial mode: the number is not among trial_numbers",
        )

    def _reaches_nobody(self) -> bool:
        self._is_harmless = self._is_harmless or self._gateway.is_example_peer()
        return self._is_harmless

    def events(self, limit: int) -> Sequence[Event]:
        """Return what waits; see `Gateway.events`."""
        return self._gateway.events(limit)

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Say what is safely stored; see `Gateway.acknowledge`."""
        self._gateway.acknowledge(event_ids)

    def health(self) -> Health:
        """Return whether texts could leave now."""
        return self._gateway.health()

    def close(self) -> None:
        """Let go of the gateway."""
        self._gateway.close()
