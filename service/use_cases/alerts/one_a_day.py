"""One alert a farmer and day, and the one way past it.

Farmers were promised few texts, and more only when it is urgent: what comes twice a day is soon not read any more. So
an ordinary alert reaches only phones that no other alert texts that day, and an urgent one those that no other urgent
one does. A pre-approved text that its table calls urgent may be sent on top, by an officer who says why; the reason is
kept with the alert and in the record. Ordinary ones, and an officer's own words whatever they say, never are.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.templates import TEMPLATES
from service.core.alert_ports import OtherAlerts
from service.core.alerts import EXCLUDED_WORDS, Alert, Audience, Excluded, Reach
from service.core.errors import Refused
from service.core.kinds import ALERT_KINDS, KINDS
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.tools import Tools

ANYWAY: Final = "further_alert"
LONGEST_REASON: Final = 200


def others_of(tools: Tools, kind: str, send_at: datetime) -> OtherAlerts:
    """Return the alerts that keep a phone from one of `kind` on the day it is sent, in the programme's zone."""
    return _others(tools, KINDS[kind].not_after, send_at)


def _others(tools: Tools, kinds: tuple[str, ...], send_at: datetime) -> OtherAlerts:
    zone = ZoneInfo(tools.programme.zone)
    day = send_at.astimezone(zone).date()
    begins, ends = (
        datetime.combine(one, time(), zone).astimezone(UTC) for one in (day, day + timedelta(days=1))
    )
    return OtherAlerts(kinds=kinds, day=day, begins=begins, ends=ends)


@dataclass(frozen=True, kw_only=True, slots=True)
class Earlier:
    """Another alert of the same day that texts phones of an audience.

    Attributes:
        phones: how many it has texted or will text; `waiting` of them are still to be.
        at: when the first of its texts left or may leave.
    """

    alert: Alert
    phones: int
    waiting: int
    at: datetime


def earlier(
    work: AlertWork, tools: Tools, audience: Audience, send_at: datetime, now: datetime
) -> tuple[Earlier, ...]:
    """Return every other alert of the day of `send_at`, of whatever kind, that texts phones of an audience."""
    others = _others(tools, ALERT_KINDS, send_at)
    found = work.recipients.touched(audience, others=others, now=now)
    touches = ((one, work.alerts.look(one.alert_id)) for one in found)
    return tuple(
        Earlier(alert=alert, phones=one.phones, waiting=one.waiting, at=one.at)
        for one, alert in touches
        if alert is not None
    )


def may_go_anyway(alert: Alert) -> bool:
    """Return whether an alert may be sent on top of others of its day."""
    template = TEMPLATES.get(alert.template or "")
    return template is not None and template.urgent


def reason_for(alert: Alert, given: str) -> str:
    """Return the reason for sending an alert on top of others, as it is kept.

    Raises:
        Refused: it may not be, or there is no reason.
    """
    if not may_go_anyway(alert):
        raise Refused(
            "Only an urgent prepared warning may go to phones that get another alert that day: send this one tomorrow."
        )
    reason = " ".join(given.split())
    if not reason:
        raise Refused("Say in a few words why it cannot wait: whoever looks back at this day will ask.")
    if len(reason) > LONGEST_REASON:
        raise Refused(f"Say in {LONGEST_REASON} letters at most why it cannot wait.")
    return reason


def why_nobody(alert: Alert, reach: Reach) -> str:
    """Return why an alert reaches nobody, and what to do, in words for its officer."""
    what_to_do = next(sentence for holds, sentence in _NOBODY if holds(alert, reach))
    counted = ", ".join(f"{phones:,} {EXCLUDED_WORDS[why]}" for why, phones in reach.excluded.items())
    left_out = f"{counted}. " if counted else ""
    return f"It would reach nobody. {left_out}{what_to_do}"


_NOBODY: Final[tuple[tuple[Callable[[Alert, Reach], bool], str], ...]] = (
    (lambda _alert, reach: not reach.audience, "No farmer with a phone fits: choose a larger audience."),
    (
        lambda alert, reach: bool(reach.held) and may_go_anyway(alert),
        "Send it anyway, with a reason, on its page; or send it tomorrow.",
    ),
    (
        lambda _alert, reach: bool(reach.held),
        "Send it tomorrow; only an urgent prepared warning may go on top of another alert.",
    ),
    (lambda _alert, reach: Excluded.NO_WORDS in reach.excluded, "Write the text in the language they read."),
    (lambda _alert, _reach: True, "Choose a larger audience, or call them."),
)
