"""What a draft would do if it were confirmed now: whom it reaches, whom it does not and why, and what it costs."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from service.core.alerts import Alert, Reach
from service.core.kinds import KINDS
from service.use_cases.alerts.drafting import day_of, needs_second_person, reach_of
from service.use_cases.alerts.nightfall import Nightfall, leaves_at, of_alert
from service.use_cases.alerts.one_a_day import Earlier, earlier, may_go_anyway
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.alerts.reaching import in_time
from service.use_cases.alerts.waking import morning_for
from service.use_cases.budget import left, scopes_of
from service.use_cases.tools import Tools


@dataclass(frozen=True, kw_only=True, slots=True)
class Preview:
    """What an alert would do if it were confirmed now.

    Attributes:
        reach: without those who read a language it has no words in.
        parts_by_language: what it would cost, of all who may be texted by language.
        in_time: how many phones are texted before it is of no use.
        missing: languages that somebody of the audience reads and that it has no text in, with how many phones.
        earlier: the other alerts of that day that text phones of the audience.
        anyway: whom it reaches if it is sent on top of them; None where it may not be, or would reach no more.
        second_person: whether it needs one.
        night: what a warning of a night has to do with its hours; None for all others.
        by_night: how many phones are texted before it is too late to do much, as `night` tells; all if there is none.
        stale: whether its text counts on more daylight than is left.
        morning: when it could leave instead, if it would wake people for a danger that leaves time; else None.
        parts_left: how many parts the emptiest of its purses can still pay for on that day; None without a cap.
    """

    reach: Reach
    parts_by_language: Mapping[str, int]
    in_time: int
    missing: Mapping[str, int]
    earlier: tuple[Earlier, ...]
    anyway: Reach | None
    second_person: bool
    night: Nightfall | None
    by_night: int
    stale: bool
    morning: datetime | None
    parts_left: int | None

    @property
    def parts(self) -> int:
        """What it would cost, in parts."""
        return self.cost(self.reach)

    def cost(self, reach: Reach) -> int:
        """Return what texting these would cost, in parts."""
        return sum(share.phones * self.parts_by_language[share.language] for share in reach.shares)

    @property
    def goes(self) -> bool:
        """Whether anybody would get it before it is of no use."""
        return bool(self.in_time)

    @property
    def free(self) -> int:
        """How many phones it would reach if there were no other alerts that day."""
        return self.reach.phones + self.reach.held_phones


def preview(work: AlertWork, tools: Tools, alert: Alert, now: datetime) -> Preview:
    """Return what an alert would do if it were confirmed now."""
    send_at = max(alert.send_at, now)
    whole = reach_of(work, tools, alert.audience, alert.kind, send_at, now)
    parts = {text.language: text.parts for text in alert.texts}
    reach = whole.worded(parts)
    rules, kind = tools.programme.alerts, KINDS[alert.kind]
    night = of_alert(work, tools, alert, now)

    def texted_until(end: datetime) -> int:
        return in_time(
            reach.phones,
            ahead=work.alerts.queue_ahead(kind.priority, now),
            per_second=rules.per_second,
            start=leaves_at(tools, alert.send_at, now),
            end=end,
            zone=tools.programme.zone,
            any_hour=kind.any_hour,
        )

    return Preview(
        reach=reach,
        parts_by_language=parts,
        in_time=texted_until(alert.useless_after),
        night=night,
        by_night=texted_until(min(night.until, alert.useless_after)) if night else reach.phones,
        stale=night is not None and night.late and not alert.late,
        morning=morning_for(work, tools, alert, now),
        missing={share.language: share.phones for share in whole.shares if share.language not in parts},
        earlier=earlier(work, tools, alert.audience, send_at, now),
        anyway=reach.anyway() if reach.held and may_go_anyway(alert) else None,
        second_person=needs_second_person(tools, alert, reach.phones),
        parts_left=_parts_left(work, tools, alert, day_of(tools, send_at)),
    )


def _parts_left(work: AlertWork, tools: Tools, alert: Alert, day: date) -> int | None:
    scopes = scopes_of(alert_id=alert.id, officer_id=alert.officer_id)
    purses = (left(work, scope, day, tools.programme.caps) for scope in scopes)
    return min((parts for parts in purses if parts is not None), default=None)
