"""What every use case is handed: the programme, the words, the calendar and the makers of ids."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Protocol

from flows.offers import Offers
from flows.reader import Packs
from flows.spraying import LONGEST_HOLD
from flows.wording import Wording
from service.agronomy.calendar import Calendar
from service.agronomy.risk_figures import RiskFigures, load_risk
from service.core.alerts import AS_SHIPPED, AlertRules
from service.core.caps import NO_CAPS, Caps


class Ids(Protocol):
    """Makes ids."""

    def row(self) -> int:
        """Return one new row id."""
        ...

    def rows(self, count: int) -> Iterator[int]:
        """Return new row ids."""
        ...

    def reference(self) -> str:
        """Return a new reference for the wire."""
        ...

    def code(self) -> str:
        """Return a short code that a person can text back."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class ReplyLimits:
    """How often answers go out by themselves: to one phone in an hour, and to all phones in a minute."""

    an_hour: int = 5
    a_minute: int = 300


@dataclass(frozen=True, kw_only=True, slots=True)
class Programme:
    """What one deployment serves; from its settings.

    Attributes:
        longest_hold: days without picking after a spray whose label nobody knows.
        answer_days: within how many days officers answer questions; 0 where farmers are promised none.
        currency: the code of the money that fruit is paid with.
    """

    name: str
    region: str
    zone: str
    language: str
    emergency_number: str | None
    compost_handfuls: int
    gateway: str
    service_number: str = ""
    longest_hold: int = LONGEST_HOLD
    answer_days: int = 0
    currency: str = "TZS"
    caps: Caps = NO_CAPS
    limits: ReplyLimits = ReplyLimits()
    alerts: AlertRules = AS_SHIPPED


@dataclass(frozen=True, kw_only=True, slots=True)
class Tools:
    """Values and pure tools; nothing here opens anything."""

    programme: Programme
    wording: Wording
    packs: Packs
    offers: Offers
    calendar: Calendar
    ids: Ids
    risk: RiskFigures = field(default_factory=cache(load_risk))
