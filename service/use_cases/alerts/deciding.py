"""Deciding about an alert: confirm, approve or decline, take over, pause, resume, call off.

Each of these may be done twice: the second time finds the alert where the first one put it and changes nothing, so a
double click or a form sent again is no error. What is confirmed and approved is named by the digest of its texts, so
nobody agrees to words other than those they have read.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final, Unpack

from service.core.alert_states import AlertState, Move, moved
from service.core.alerts import Alert
from service.core.columns import AlertChange
from service.core.errors import Refused
from service.core.kinds import MessageState
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases.alerts.counting import add_up
from service.use_cases.alerts.drafting import (
    may,
    needs_second_person,
    reach_of,
    seen_by,
)
from service.use_cases.alerts.nightfall import TOO_LATE_TO_COVER, is_stale, write_anew
from service.use_cases.alerts.one_a_day import ANYWAY, others_of, reason_for, why_nobody
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.alerts.waking import morning_for
from service.use_cases.audit import note
from service.use_cases.tools import Tools

_OTHER_WORDS: Final = "Its texts are not the ones you were shown: look at them once more."
_TOO_LATE: Final = "Its time has passed: write it anew with a later hour."
_WRITE_ANEW: Final = (
    f"{TOO_LATE_TO_COVER} Write one like it, which says what can still be done, and call this one off."
)
_GOES_ON: Final = (AlertState.SCHEDULED, AlertState.WAITING_APPROVAL)


def confirm(
    work: AlertWork,
    tools: Tools,
    officer: Officer,
    alert_id: int,
    *,
    digest: str,
    now: datetime,
    anyway: str | None = None,
    in_the_morning: bool = False,
) -> Alert:
    """Let a draft go: write down its recipients, and send it after the waiting time or once it is approved.

    With the reason `anyway` it also goes to phones that get another alert that day. `in_the_morning` lets one that would
    wake people wait for the end of the night, if its danger leaves time for that.

    Raises:
        OutOfReach: it is not this officer's.
        IllegalMove: it has ended meanwhile.
        Refused: its texts are others, it would reach nobody, or it may not be sent anyway.
    """
    may(officer, Permission.ALERT)
    alert = seen_by(work.alerts.get(alert_id), officer)
    _same_words(alert, digest)
    if alert.confirmed_at is not None and alert.state is not AlertState.CALLED_OFF:
        return alert
    moved(alert.state, Move.CONFIRM)
    # What was to be sent at an hour that has passed meanwhile is sent now, on the day of now.
    morning = morning_for(work, tools, alert, now) if in_the_morning else None
    send_at = morning or max(alert.send_at, now)
    if alert.useless_after <= send_at:
        raise Refused(_TOO_LATE)
    if is_stale(work, tools, alert, now):
        write_anew(work, tools, alert)
        work.commit()
        raise Refused(f"{TOO_LATE_TO_COVER} It now says to cover at once: read it below, then send it.")
    reason = None if anyway is None else reason_for(alert, anyway)
    kind = alert.kind if reason is None else ANYWAY
    languages = [text.language for text in alert.texts]
    # Refused below, nothing of this is kept. Asking first whom it would reach would take as long again.
    phones = work.recipients.write_down(
        alert.id, alert.audience, languages=languages, others=others_of(tools, kind, send_at), now=now
    )
    if not phones:
        reach = reach_of(work, tools, alert.audience, kind, send_at, now)
        raise Refused(why_nobody(alert, reach.worded(languages)))
    needs = needs_second_person(tools, alert, phones)
    values: AlertChange = {
        "confirmed_at": now,
        "send_at": send_at,
        "waits_until": now + tools.programme.alerts.wait,
        "kind": kind,
        "anyway": reason,
    }
    told = {"phones": phones} if reason is None else {"phones": phones, "anyway": reason}
    _move(work, officer, alert, Move.SUBMIT if needs else Move.CONFIRM, told, **values)
    return work.alerts.the(alert_id)


def approve(
    work: AlertWork, tools: Tools, officer: Officer, alert_id: int, *, digest: str, now: datetime
) -> Alert:
    """Be the second person of an alert; its waiting time begins anew.

    Raises:
        OutOfReach: it is not this officer's.
        IllegalMove: it waits for nobody.
        Refused: it is their own, or its texts are others.
    """
    may(officer, Permission.APPROVE)
    alert = seen_by(work.alerts.get(alert_id), officer)
    _same_words(alert, digest)
    if officer.id == alert.officer_id:
        raise Refused("A second person has to look at it: you wrote it yourself.")
    if alert.approved_by == officer.id and alert.state is not AlertState.WAITING_APPROVAL:
        return alert
    waits_until = now + tools.programme.alerts.wait
    _move(
        work,
        officer,
        alert,
        Move.APPROVE,
        approved_by=officer.id,
        approved_at=now,
        waits_until=waits_until,
        why=None,
    )
    return work.alerts.the(alert_id)


def take_over(
    work: AlertWork, tools: Tools, officer: Officer, alert_id: int, *, digest: str, now: datetime
) -> Alert:
    """Stand for a parked alert in the place of whoever did; its words and its recipients stay as they were.

    Its waiting time begins anew, and what needs a second person needs one anew.

    Raises:
        OutOfReach: it is not this officer's.
        IllegalMove: it is not parked.
        Refused: its texts are others, or its time has passed.
    """
    alert = _theirs(work, officer, alert_id)
    _same_words(alert, digest)
    if alert.officer_id == officer.id and alert.state in _GOES_ON:
        return alert
    send_at = max(alert.send_at, now)
    if alert.useless_after <= send_at:
        raise Refused(_TOO_LATE)
    moved(alert.state, Move.TAKE_OVER)
    if is_stale(work, tools, alert, now):
        raise Refused(_WRITE_ANEW)
    counted = add_up(work.recipients.tally(alert.id), alert.state)
    needs = needs_second_person(tools, alert, counted.waiting)
    values: dict[str, Any] = {
        "officer_id": officer.id,
        "approved_by": None,
        "approved_at": None,
        "send_at": send_at,
        "waits_until": now + tools.programme.alerts.wait,
        "why": f"taken over from {work.alerts.writer(alert.officer_id).name}",
    }
    _move(work, officer, alert, Move.HAND_ON if needs else Move.TAKE_OVER, **values)
    return work.alerts.the(alert_id)


def pause(work: AlertWork, officer: Officer, alert_id: int, _now: datetime) -> Alert:
    """Let nothing more of an alert leave until it is resumed; what is on the wire arrives.

    Raises:
        OutOfReach: it is not this officer's.
        IllegalMove: it is not being sent.
    """
    alert = _theirs(work, officer, alert_id)
    if alert.state is AlertState.PAUSED:
        return alert
    work.alerts.hold(alert.id, alert.useless_after)
    _move(work, officer, alert, Move.PAUSE)
    return work.alerts.the(alert_id)


def resume(work: AlertWork, tools: Tools, officer: Officer, alert_id: int, now: datetime) -> Alert:
    """Send the rest of a paused alert.

    Raises:
        OutOfReach: it is not this officer's.
        IllegalMove: it is not paused.
        Refused: its text counts on daylight that is over.
    """
    alert = _theirs(work, officer, alert_id)
    if alert.state is AlertState.SENDING:
        return alert
    moved(alert.state, Move.RESUME)
    if is_stale(work, tools, alert, now):
        raise Refused(_WRITE_ANEW)
    work.alerts.release(alert.id, now)
    _move(work, officer, alert, Move.RESUME)
    return work.alerts.the(alert_id)


def call_off(
    work: AlertWork, officer: Officer, alert_id: int, now: datetime, *, why: str | None = None
) -> Alert:
    """Call off what of an alert has not left, be it all of it; so a second person declines one too.

    Raises:
        OutOfReach: it is not this officer's.
        IllegalMove: it has ended.
    """
    alert = _theirs(work, officer, alert_id)
    if alert.state is AlertState.CALLED_OFF:
        return alert
    work.alerts.end_due(alert.id, MessageState.CANCELLED, "its alert was called off", now)
    _move(work, officer, alert, Move.CALL_OFF, ended_at=now, why=why)
    return work.alerts.the(alert_id)


def _theirs(work: AlertWork, officer: Officer, alert_id: int) -> Alert:
    may(officer, Permission.ALERT)
    return seen_by(work.alerts.get(alert_id), officer)


def _same_words(alert: Alert, digest: str) -> None:
    if alert.digest != digest:
        raise Refused(_OTHER_WORDS)


def _move(
    work: AlertWork,
    officer: Officer,
    alert: Alert,
    move: Move,
    told: Mapping[str, object] | None = None,
    **values: Unpack[AlertChange],
) -> None:
    work.alerts.set_state(alert.id, moved(alert.state, move), **values)
    detail = {"texts": alert.digest, "districts": alert.audience.districts, **(told or {})}
    note(work, officer, f"alert.{move.name.lower()}", f"alert:{alert.id}", detail, at=work.audit.now())
    work.commit()
