"""Judging whether a text whose time has come may leave at this moment, and whether it can be paid for."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.states import State
from service.core.alert_states import AlertState
from service.core.caps import Scope
from service.core.kinds import KINDS, Kind, MessageState
from service.core.model import Candidate
from service.core.ports import Work
from service.use_cases.budget import reserve, scopes_of
from service.use_cases.hours import day_begins, is_quiet, next_allowed, next_day, quiet_begins
from service.use_cases.tools import Tools
from service.use_cases.waiting import stays_open

_WHILE_CHOOSING: Final = timedelta(hours=1)
# A digit answers the last thing asked: for so long after an alert nothing else that we begin with is asked. Long enough
# to read it and look at the plants, short enough for the day's jobs to come that day (common practice, no source).
_WHILE_ANSWERING: Final = timedelta(hours=2)
_WHILE_PAUSED: Final = timedelta(minutes=1)
# A purse may be filled while its texts wait: an administrator raises a cap.
_WHILE_EMPTY: Final = timedelta(hours=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Verdict:
    """What is done with a text whose time has come: it leaves, waits until `later`, or ends in `state`."""

    leaves: bool = False
    later: datetime | None = None
    state: MessageState | None = None
    why: str | None = None


# A text of an alert that stands so does not leave. Its other texts were moved aside in one statement; here come those
# that were on the wire at that moment and came back.
_HELD: Final[Mapping[AlertState | None, Callable[[datetime], Verdict]]] = {
    AlertState.PAUSED: lambda now: Verdict(later=now + _WHILE_PAUSED, why="its alert is paused"),
    AlertState.CALLED_OFF: lambda _now: Verdict(state=MessageState.CANCELLED, why="its alert was called off"),
}


def may_leave(candidate: Candidate, now: datetime) -> Verdict:
    """Judge whether a text may leave now."""
    kind = KINDS[candidate.kind]
    if candidate.expires_at <= now:
        return Verdict(state=MessageState.EXPIRED_UNSENT, why="its time had passed before it could be sent")
    if candidate.stopped and not kind.to_stopped:
        return Verdict(state=MessageState.DROPPED, why="the phone has stopped")
    if candidate.farmer_stopped and kind.pushed:
        return Verdict(state=MessageState.DROPPED, why="the farmer has stopped")
    if candidate.alert_state in _HELD:
        return _HELD[candidate.alert_state](now)
    return _waits(candidate, kind, now) or Verdict(leaves=True)


def _waits(candidate: Candidate, kind: Kind, now: datetime) -> Verdict | None:
    """Return until when a text waits for a better moment, if it does."""
    if candidate.choosing_stop and not kind.to_stopped:
        return Verdict(
            later=now + _WHILE_CHOOSING, why="waits while the farmer chooses between undo and stop"
        )
    if is_quiet(now, candidate.zone) and not kind.any_hour:
        return Verdict(later=next_allowed(now, candidate.zone), why="waits for the morning")
    if candidate.alert_open_until and kind.pushed and not kind.alert:
        asked_alone = candidate.alert_open_until - stays_open(State.ALERT) + _WHILE_ANSWERING
        if now < asked_alone:
            return Verdict(later=asked_alone, why="waits while the farmer answers an alert")
    return None


def afford(work: Work, tools: Tools, candidate: Candidate, now: datetime) -> Verdict:
    """Judge whether a text that may leave now can be sent and paid for today, and reserve what it takes."""
    zone = candidate.zone
    others = KINDS[candidate.kind].not_after
    if others and work.outbox.left_since(candidate, others, day_begins(now, zone)):
        return Verdict(later=next_day(now, zone), why="waits for tomorrow: one alert a day")
    day = local_day(candidate, now)
    if not reserve(work, scopes(candidate), day, candidate.parts, tools.programme.caps):
        return Verdict(later=now + _WHILE_EMPTY, why="waits: the budget is used up")
    return Verdict(leaves=True)


def scopes(candidate: Candidate) -> tuple[Scope, ...]:
    """Return the purses a text is paid from; none if it answers what was asked."""
    if not KINDS[candidate.kind].pushed:
        return ()
    return scopes_of(
        alert_id=candidate.alert_id, officer_id=candidate.officer_id, farmer_id=candidate.farmer_id
    )


def local_day(candidate: Candidate, now: datetime) -> date:
    """Return the day in whose purses a text that leaves now is paid, where its phone is."""
    return now.astimezone(ZoneInfo(candidate.zone)).date()


def valid_until(candidate: Candidate, now: datetime) -> datetime:
    """Return when a text that leaves now may no longer reach its phone."""
    if KINDS[candidate.kind].any_hour:
        return candidate.expires_at
    return min(candidate.expires_at, quiet_begins(now, candidate.zone))
