"""A warning confirmed in the night, of a danger that leaves time: it can wait for the morning and wake nobody."""

from datetime import UTC, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from service.core.alerts import Alert
from service.core.kinds import KINDS
from service.use_cases.alerts.nightfall import leaves_at, of_alert
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.hours import is_quiet, next_allowed
from service.use_cases.tools import Tools

# So much time is left for the work after the quiet hours: to be texted, to fetch covers and to lay them; common
# practice, no source.
TIME_ENOUGH: Final = timedelta(hours=4)


def morning_for(work: AlertWork, tools: Tools, alert: Alert, now: datetime) -> datetime | None:
    """Return when an alert could leave instead of in the night, if it were confirmed now; None if it is not to wait.

    It waits for no morning by day, where its kind waits by itself, or where its danger comes soon after the morning. Own
    words name no hour of their danger: whoever writes them knows it.
    """
    zone = tools.programme.zone
    leaves = leaves_at(tools, alert.send_at, now)
    if not KINDS[alert.kind].any_hour or not is_quiet(leaves, zone):
        return None
    morning, begins = next_allowed(leaves, zone), _begins(work, tools, alert, now)
    return morning if begins is not None and morning + TIME_ENOUGH <= begins else None


def _begins(work: AlertWork, tools: Tools, alert: Alert, now: datetime) -> datetime | None:
    """Return when the danger may begin: a cold night's at sunset, another's when its day begins."""
    night = of_alert(work, tools, alert, now)
    if night is not None:
        return night.sets
    if alert.template is None or alert.on is None:
        return None
    return datetime.combine(alert.on, time(), ZoneInfo(tools.programme.zone)).astimezone(UTC)
