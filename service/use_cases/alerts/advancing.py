"""What happens to alerts by itself: they begin, their recipients become messages, they end.

Every step may be done twice, or be cut short by the death of its process: a step is one transaction, and the next tick
finds what is left to do. Recipients become messages in turn, a chunk a transaction; each row says whether it has its
message, and the key of a message is its alert and phone.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Unpack

from flows.states import Plain
from flows.templates import TEMPLATES
from service.core.alert_ports import Stretch
from service.core.alert_states import ENDED, AlertState, Move, allowed, moved
from service.core.alerts import Alert
from service.core.columns import AlertChange
from service.core.kinds import KINDS, Kind, MessageState, Policy
from service.use_cases.alerts.counting import count
from service.use_cases.alerts.drafting import day_of
from service.use_cases.alerts.one_a_day import others_of
from service.use_cases.alerts.parking import nobody_stands_for
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.alerts.writing import FREE, FREE_ASKING
from service.use_cases.hours import next_allowed
from service.use_cases.tools import Tools

# Rows in one transaction: a larger one holds up all other writers on SQLite.
CHUNK: Final = 2_000
TOO_LATE: Final = "its alert was of no more use"
_CHANGED: Final = "its text was changed after it was agreed to"


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """What became of an alert in one step: how many recipients got their message, and whether more are to come."""

    written: int = 0
    more: bool = False


def advance(work: AlertWork, tools: Tools, alert_id: int, now: datetime, *, chunk: int = CHUNK) -> Step:
    """Do what is due for one alert, at most `chunk` messages of it."""
    alert = work.alerts.get(alert_id)
    if alert is None or alert.state in ENDED:
        return Step()
    alert = _begin(work, tools, alert, now)
    step = _write_some(work, tools, alert, now, chunk) if alert.state is AlertState.SENDING else Step()
    # Those that were just written wait; to count 100,000 of them would hold up others who write for nothing.
    just_written = step.written and now < alert.useless_after
    if alert.state is AlertState.SENDING and not step.more and not just_written:
        _end(work, alert, now)
    work.commit()
    return step


def _begin(work: AlertWork, tools: Tools, alert: Alert, now: datetime) -> Alert:
    """Let an alert begin or expire whose moment has come; return it as it stands then."""
    if alert.useless_after <= now and Move.EXPIRE in allowed(alert.state):
        work.alerts.end_due(alert.id, MessageState.EXPIRED_UNSENT, TOO_LATE, now)
        return _moved(work, alert, Move.EXPIRE, ended_at=now)
    begins = max(alert.send_at, alert.waits_until or alert.send_at)
    if alert.state is not AlertState.SCHEDULED or now < begins:
        return alert
    if not all(text.unchanged for text in alert.texts):
        return _moved(work, alert, Move.CALL_OFF, ended_at=now, why=_CHANGED)
    if why := nobody_stands_for(work, alert):
        return _moved(work, alert, Move.PARK, why=why)
    work.recipients.withhold(alert.id, others_of(tools, alert.kind, alert.send_at))
    return _moved(work, alert, Move.START)


def _moved(work: AlertWork, alert: Alert, move: Move, **values: Unpack[AlertChange]) -> Alert:
    work.alerts.set_state(alert.id, moved(alert.state, move), **values)
    there = work.alerts.get(alert.id)
    return there if there is not None else alert


def _write_some(work: AlertWork, tools: Tools, alert: Alert, now: datetime, chunk: int) -> Step:
    turns = work.recipients.unwritten(alert.id)
    if turns is None:
        return Step()
    first, last = turns
    until = min(last, first + chunk - 1)
    kind = KINDS[alert.kind]
    for first_id, size in _runs(tuple(tools.ids.rows(until - first + 1))):
        stretch = Stretch(
            alert_id=alert.id,
            first_turn=first,
            last_turn=first + size - 1,
            first_id=first_id,
            day=day_of(tools, alert.send_at),
            text_id=_text_id(alert),
            not_before=_not_before(work, alert, kind, now),
            expires_at=alert.useless_after,
            opens=_opens(alert),
        )
        work.recipients.write(stretch, kind=kind, gateway=tools.programme.gateway, now=now)
        first += size
    return Step(written=until - turns[0] + 1, more=until < last)


def _runs(ids: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Cut rising ids into stretches without a gap, each as its first id and its length."""
    start = 0
    for place in range(1, len(ids) + 1):
        if place == len(ids) or ids[place] != ids[place - 1] + 1:
            yield ids[start], place - start
            start = place


def _not_before(work: AlertWork, alert: Alert, kind: Kind, now: datetime) -> dict[str, datetime]:
    start = max(alert.send_at, now)
    zones = {one.zone for one in work.people.districts() if one.id in alert.audience.districts}
    return {zone: start if kind.any_hour else next_allowed(start, zone) for zone in zones}


def _text_id(alert: Alert) -> str:
    if alert.template:
        return TEMPLATES[alert.template].text_for(late=alert.late)
    return FREE_ASKING if alert.values.get("asks") else FREE


def _opens(alert: Alert) -> dict[str, Plain] | None:
    """Return the question that an alert's texts ask, if they ask one."""
    return {"state": "alert", "data": {"alert": alert.id}} if alert.values.get("asks") else None


def _end(work: AlertWork, alert: Alert, now: datetime) -> None:
    """Let an alert end all of whose texts have an end."""
    if alert.useless_after <= now:
        work.alerts.end_due(alert.id, MessageState.EXPIRED_UNSENT, TOO_LATE, now)
    counted = count(work, alert.id, alert.state)
    # Such a text in doubt may be sent again, as long as it is of use.
    again = KINDS[alert.kind].policy is Policy.AT_LEAST_ONCE and now < alert.useless_after
    if not counted.waiting and not (again and counted.in_doubt > counted.not_again):
        work.alerts.set_state(alert.id, moved(alert.state, Move.FINISH), ended_at=now)
