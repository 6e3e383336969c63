"""A cold night by its hours: what its text may ask for, and until when whoever is texted is reached in time.

While there is daylight enough to cover plants in, the text says to do so by sunset. Later it says to do so now, and to
risk nothing: nobody is sent to their field in the dark by a text that counts on the evening.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.templates import TEMPLATES
from service.agronomy.sunset import sunset
from service.core.alerts import Alert
from service.core.model import District
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.alerts.writing import sender_of, write_template
from service.use_cases.hours import QUIET_FROM
from service.use_cases.tools import Tools

# So much daylight it takes to fetch covers and lay them; common practice, no source.
COVERING: Final = timedelta(hours=1)
TOO_LATE_TO_COVER: Final = "Too little daylight is left for its text, which says to cover by sunset."


@dataclass(frozen=True, kw_only=True, slots=True)
class Nightfall:
    """What a warning of a night has to do with its hours.

    Attributes:
        late: whether too little daylight is left when it leaves, so that its text says to cover now.
        sets: when the sun sets, where it sets first.
        until: whoever is texted later is not reached in time: after sunset or, if it is late, when people sleep.
    """

    late: bool
    sets: datetime
    until: datetime


def nightfall(
    template: str | None, on: date | None, districts: Collection[District], leaves_at: datetime
) -> Nightfall | None:
    """Return what a warning that leaves at an instant has to do with the night's hours; None for all but nights."""
    chosen = TEMPLATES.get(template or "")
    if chosen is None or not chosen.night or on is None or not districts:
        return None
    sets = min(sunset(on, one.zone, _latitude(one)) for one in districts)
    late = leaves_at > sets - COVERING
    asleep = min(datetime.combine(on, time(QUIET_FROM), ZoneInfo(one.zone)) for one in districts)
    return Nightfall(late=late, sets=sets, until=asleep.astimezone(UTC) if late else sets)


def of_alert(work: AlertWork, tools: Tools, alert: Alert, now: datetime) -> Nightfall | None:
    """Return the same for an alert, if it were confirmed now."""
    theirs = [one for one in work.people.districts() if one.id in alert.audience.districts]
    return nightfall(alert.template, alert.on, theirs, leaves_at(tools, alert.send_at, now))


def leaves_at(tools: Tools, send_at: datetime, now: datetime) -> datetime:
    """Return when the first text of an alert leaves that is confirmed now."""
    return max(send_at, now + tools.programme.alerts.wait)


def is_stale(work: AlertWork, tools: Tools, alert: Alert, now: datetime) -> bool:
    """Return whether an alert's text counts on more daylight than is left."""
    night = of_alert(work, tools, alert, now)
    return night is not None and night.late and not alert.late


def write_anew(work: AlertWork, tools: Tools, alert: Alert) -> None:
    """Let a draft say to cover now, in its writer's name. It does not commit."""
    names = {one.id: one.name for one in work.people.districts()}
    sender = sender_of(
        tools,
        work.alerts.writer(alert.officer_id).name,
        tuple(names[one] for one in sorted(alert.audience.districts)),
    )
    written = write_template(
        tools,
        alert.template or "",
        sender=sender,
        on=alert.on or date.min,
        figure=int(str(alert.values["figure"])),
        languages=tools.packs.languages,
        late=True,
    )
    texts = tuple(sorted((one.as_alert_text for one in written), key=lambda text: text.language))
    work.alerts.replace(replace(alert, values={**alert.values, "late": True}, texts=texts))


def _latitude(district: District) -> float | None:
    return None if district.latitude is None else district.latitude / 10
