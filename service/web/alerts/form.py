"""The form of an alert: from what was typed to an order, and from a kept alert back to what was typed."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Final, Self
from zoneinfo import ZoneInfo

from werkzeug.datastructures import MultiDict

from flows.templates import TEMPLATES
from service.core.alerts import Alert, Audience
from service.core.errors import Refused
from service.use_cases.alerts.drafting import Order
from service.web.farmers.season import Season

# Heights above the sea, in metres, at which an alert can be cut off; the second is where first fruit comes later.
HEIGHTS: Final[Mapping[str, tuple[int | None, int | None]]] = {
    "low": (None, 1500),
    "middle": (1500, 2000),
    "high": (2000, None),
}
HEIGHT_WORDS: Final = {"low": "below 1,500 m", "middle": "1,500 to 2,000 m", "high": "2,000 m and higher"}
_TYPED: Final = "%Y-%m-%dT%H:%M"
# Rain is warned of until the sun sets, for what can still be picked; a cold night until it is over. Before
# dawn the night that began yesterday is still tonight.
_LAST_HOUR: Final = 18
_MORNING: Final = 7
_DAWN: Final = 5
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Form:
    """What stands in the fields, as typed; `today` is the programme's local day."""

    key: str
    template: str | None
    districts: frozenset[int]
    villages: frozenset[int] = frozenset()
    groups: frozenset[int] = frozenset()
    languages: frozenset[str] = frozenset()
    height: str = ""
    stage: str = ""
    on: str = ""
    figure: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    asks: bool = True
    urgent: bool = False
    send_at: str = ""
    useless_after: str
    today: date

    @classmethod
    def empty(
        cls, key: str, template: str | None, districts: frozenset[int], now: datetime, zone: str
    ) -> Self:
        """Return the form as it is first shown."""
        here = now.astimezone(ZoneInfo(zone))
        if _of_a_night(template):
            begins = here.date() if here.hour >= _DAWN else here.date() - _DAY
            return cls(
                key=key,
                template=template,
                districts=districts,
                on=begins.isoformat(),
                useless_after=datetime.combine(begins + _DAY, time(_MORNING)).strftime(_TYPED),
                today=here.date(),
            )
        ends = here.replace(hour=_LAST_HOUR, minute=0)
        if ends < here + timedelta(hours=1):
            ends += _DAY
        return cls(
            key=key,
            template=template,
            districts=districts,
            on=ends.date().isoformat() if template else "",
            useless_after=ends.strftime(_TYPED) if template else (here + _DAY).strftime(_TYPED),
            today=here.date(),
        )

    @classmethod
    def typed(cls, given: MultiDict[str, str], languages: tuple[str, ...], today: date) -> Self:
        """Return the form as it was sent; the hour after which it is of no use has moved with the day it is for."""
        template = given.get("template", "")
        typed = cls(
            key=given.get("key", ""),
            template=template if template in TEMPLATES else None,
            districts=_numbers(given, "district"),
            villages=_numbers(given, "village"),
            groups=_numbers(given, "group"),
            languages=frozenset(given.getlist("language")) & set(languages),
            height=given.get("height", ""),
            stage=given.get("stage", ""),
            on=given.get("on", ""),
            figure=given.get("figure", ""),
            words={language: given.get(f"words_{language}", "") for language in languages},
            asks="asks" in given,
            urgent="urgent" in given,
            send_at=given.get("send_at", ""),
            useless_after=given.get("useless_after", ""),
            today=today,
        )
        untouched = typed.useless_after == given.get("was_useless_after")
        return typed._moved_from(given.get("was_day", "")) if untouched else typed

    @property
    def day(self) -> date:
        """The day it is for: of what it speaks of and when it is sent the later one, today if neither is given.

        A night is its own day, whether it is warned of in the evening or after midnight.
        """
        if _of_a_night(self.template) and _day_in(self.on):
            return _day_in(self.on) or self.today
        return max(filter(None, (_day_in(self.on), _day_in(self.send_at))), default=self.today)

    @property
    def day_spoken_of(self) -> date | None:
        """The day its text names; None if there is none yet."""
        return _day_in(self.on)

    def _moved_from(self, was_day: str) -> Self:
        """Return the form with as many days more until it is of no use as its day has moved since `was_day`.

        It is of use beyond the hour of sending at least.
        """
        was, until = _day_in(was_day), _wall_in(self.useless_after)
        if was is None or until is None:
            return self
        until += self.day - was
        sent = _wall_in(self.send_at)
        if sent is not None and until <= sent:
            until += (sent - until) // _DAY * _DAY + _DAY
        return replace(self, useless_after=until.strftime(_TYPED))

    @classmethod
    def of(cls, alert: Alert, key: str, strip: Season, now: datetime, zone: str) -> Self:
        """Return the form that would make an alert once more, with the hours and days of a new one that have passed."""
        audience, values = alert.audience, alert.values
        fresh = cls.empty(key, alert.template, audience.districts, now, zone)
        spoken_of = _day_in(str(values.get("on") or ""))
        heights = (audience.metres_from, audience.metres_below)
        words = values.get("words")
        return cls(
            key=key,
            template=alert.template,
            districts=audience.districts,
            villages=audience.villages,
            groups=audience.groups,
            languages=audience.languages,
            height=next((name for name, limits in HEIGHTS.items() if limits == heights), ""),
            stage=next((band.key for band in strip.bands if band.first == audience.age_from), ""),
            on=spoken_of.isoformat() if spoken_of and spoken_of >= fresh.today else fresh.on,
            figure=str(values["figure"]) if values.get("figure") is not None else "",
            words={str(name): str(text) for name, text in words.items()}
            if isinstance(words, Mapping)
            else {},
            asks=bool(values.get("asks")),
            urgent=bool(values.get("urgent")),
            send_at=alert.send_at.astimezone(ZoneInfo(zone)).strftime(_TYPED)
            if alert.send_at > max(alert.made_at, now)
            else "",
            useless_after=alert.useless_after.astimezone(ZoneInfo(zone)).strftime(_TYPED)
            if alert.useless_after > now
            else fresh.useless_after,
            today=fresh.today,
        )

    def order(self, zone: str, strip: Season) -> Order:
        """Return what was ordered.

        Raises:
            Refused: a field cannot be read; the sentence names it.
        """
        low, high = HEIGHTS.get(self.height, (None, None))
        band = next((one for one in strip.bands if one.key == self.stage), None)
        audience = Audience(
            districts=self.districts,
            villages=self.villages,
            groups=self.groups,
            languages=self.languages,
            metres_from=low,
            metres_below=high,
            age_from=band.first if band else None,
            age_below=band.end if band else None,
        )
        if not self.districts:
            raise Refused("Choose at least one district.")
        return Order(
            idem_key=self.key,
            audience=audience,
            template=self.template,
            on=_day(self.on) if self.template else None,
            figure=_whole(self.figure) if self.template else None,
            words=self.words,
            asks=self.asks,
            urgent=self.urgent,
            send_at=_instant(self.send_at, "to send it", zone) if self.send_at else None,
            useless_after=_instant(self.useless_after, "after which it is of no use", zone),
        )


def _numbers(given: MultiDict[str, str], name: str) -> frozenset[int]:
    return frozenset(int(one) for one in given.getlist(name) if one.isascii() and one.isdigit())


def _of_a_night(template: str | None) -> bool:
    chosen = TEMPLATES.get(template or "")
    return chosen is not None and chosen.night


def _wall_in(typed: str) -> datetime | None:
    try:
        return datetime.strptime(typed[:16], _TYPED)  # noqa: DTZ007 - wall time, whatever the zone
    except ValueError:
        return None


def _day_in(typed: str) -> date | None:
    """Return the day that a date or an hour begins with."""
    try:
        return date.fromisoformat(typed[:10])
    except ValueError:
        return None


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError as error:
        raise Refused("The day is no date: choose it once more.") from error


def _whole(typed: str) -> int:
    try:
        return int(typed)
    except ValueError as error:
        raise Refused("The figure is a whole number, like 2 or -1.") from error


def _instant(typed: str, what: str, zone: str) -> datetime:
    try:
        wall = datetime.strptime(typed[:16], _TYPED).replace(tzinfo=ZoneInfo(zone))
    except ValueError as error:
        raise Refused(f"The hour {what} cannot be read: write it like 2026-03-25T17:30.") from error
    return wall.astimezone(UTC)
