"""What every use case is handed: the programme, the words, the calendar and the makers of ids."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Protocol

from flows.money import SHILLINGS, Currency
from flows.offers import Offers
from flows.reader import Packs
from flows.spraying import LONGEST_HOLD
from flows.wording import Wording
from service.agronomy.calendar import Calendar
from service.agronomy.risk_figures import RiskFigures, load_risk
from service.agronomy.stand import StandFigures, load_stand
from service.core.alerts import AS_SHIPPED, AlertRules
from service.core.caps import NO_CAPS, Caps
from service.core.folding import folded


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
        delivery_wait: minutes after which a farmer is texted what a clerk has entered.
        currency: that of sales, costs and prices.
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
    delivery_wait: int = 10
    currency: Currency = SHILLINGS
    caps: Caps = NO_CAPS
    limits: ReplyLimits = ReplyLimits()
    alerts: AlertRules = AS_SHIPPED


@dataclass(frozen=True, kw_only=True, slots=True)
class Tools:
    """Values and pure tools; nothing here opens anything.

    `calendar` is the programme's; `in_places` are those of districts with days of their own, by the name that
    `place_word` gives them.
    """

    programme: Programme
    wording: Wording
    packs: Packs
    offers: Offers
    calendar: Calendar
    ids: Ids
    risk: RiskFigures = field(default_factory=cache(load_risk))
    stand: StandFigures = field(default_factory=cache(load_stand))
    in_places: Mapping[str, Calendar] = field(default_factory=dict)

    @property
    def calendars(self) -> tuple[Calendar, ...]:
        """All calendars by which plots are planned, the programme's first."""
        return (self.calendar, *self.in_places.values())

    def calendar_in(self, district: str) -> Calendar:
        """Return the calendar of a district."""
        return self.in_places.get(place_word(district), self.calendar)

    def calendar_of(self, calendar_id: str) -> Calendar:
        """Return the calendar of a plot; the programme's where its own is there no more."""
        return next((one for one in self.calendars if one.id == calendar_id), self.calendar)

    def with_calendar(self, calendar_id: str) -> "Tools":
        """Return the same tools with the calendar of a plot as if it were the programme's."""
        return replace(self, calendar=self.calendar_of(calendar_id)) if self.in_places else self


def place_word(district: str) -> str:
    """Return a district's name as a short word: small letters of the alphabet, figures and strokes."""
    plain = (char if char.isascii() and char.isalnum() else "-" for char in folded(district))
    return "".join(plain).strip("-")
