"""How fast an alert becomes rows, what a reply queued behind it waits, and how soon it is called off."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from scheduler.alerting import advance_alerts
from scheduler.bench.ground import MORNING, Ground
from scheduler.bench.report import Report
from scheduler.bench.timing import MemoryWatch, Stopwatch
from service import ids
from service.clock import local_day
from service.core.alerts import AS_SHIPPED, Alert, Audience
from service.core.kinds import KINDS
from service.core.model import NewMessage
from service.core.rights import Role
from service.core.staff import Officer
from service.db.measuring.floors import rows, select_floor
from service.db.work import Database
from service.demo_data import ZONE
from service.use_cases.alerts import deciding, drafting
from service.use_cases.alerts.counting import count
from service.use_cases.alerts.drafting import Order
from service.use_cases.officers import add_officer
from service.use_cases.sending import claim
from service.use_cases.tools import Tools

_RATIO: Final = 3.0
_BATCHES: Final = 1
_CANCEL_SECONDS: Final = 2.0
_MOST_BATCHES: Final = 1000
_USEFUL: Final = timedelta(hours=6)
_KIND: Final = "reply"


@dataclass
class _Tries:
    """What was counted in a round."""

    phones: int = 0
    batches: int = 0
    left_over: int = 0
    cancelled: int = 0
    peak_mb: float = 0.0


def bench_alert(ground: Ground, farmers: int) -> Report:
    """Measure an urgent alert to all of so many farmers.

    Figures:
        phones: those that are warned.
        confirm_seconds: the officer's word is kept, and who is warned is written down.
        expand_seconds: each of them gets a row in the outbox.
        recipients_floor_seconds, messages_floor_seconds: INSERT ... SELECT of these very rows into empty twins.
        ratio: both steps by both floors.
        reply_batches: with a window of the alert claimed already, the claims until a reply queued then is taken.
        cancel_seconds: until no more of it may leave and all the rest counts as called off.
        left_over: texts of it that were claimed after that.
        peak_mb: how far this process's memory rose at most in all of it, in MiB.
    """
    report = Report("alert", ground.scratch, farmers=farmers, rounds=ground.rounds)
    watch = Stopwatch()
    tries = _Tries()
    with ground.seeded(farmers) as all_:
        for number in ground.turns():
            with ground.scratch.copy(all_) as database:
                _round(ground, database, watch, tries, key=f"round {number}")
    report.put(phones=tries.phones)
    for name in ("confirm", "expand", "recipients_floor", "messages_floor"):
        report.put_seconds(watch, name, f"{name}_")
    took = watch.median("confirm") + watch.median("expand")
    bare = watch.median("recipients_floor") + watch.median("messages_floor")
    report.put_at_most("ratio", took / bare, _RATIO)
    report.put_at_most("reply_batches", tries.batches, _BATCHES)
    report.put_seconds(watch, "claim", "claim_")
    report.put(cancelled=tries.cancelled)
    report.put_seconds(watch, "cancel", "cancel_")
    report.put_at_most("cancel_slowest", max(watch.taken("cancel")), _CANCEL_SECONDS)
    report.put_at_most("left_over", tries.left_over, 0)
    report.put(peak_mb=round(tries.peak_mb, 1))
    return report.finish()


def _round(ground: Ground, database: Database, watch: Stopwatch, tries: _Tries, *, key: str) -> None:
    memory = MemoryWatch()
    officer = make_officer(database)
    alert = draft_alert(ground.tools, database, officer, key, MORNING)
    watch.time("confirm", lambda: confirm_alert(ground.tools, database, officer, alert, MORNING))
    begins = MORNING + AS_SHIPPED.wait
    watch.time("expand", lambda: advance_alerts(database, ground.tools, begins))
    tries.peak_mb = max(tries.peak_mb, memory.growth_mb())
    tries.phones = rows(database, "messages")
    watch.add("recipients_floor", select_floor(database, "recipients"))
    watch.add("messages_floor", select_floor(database, "messages"))
    tries.batches = max(tries.batches, _batches_until_reply(ground, database, watch, begins))
    watch.time("cancel", lambda: _cancel(database, officer, alert.id, begins))
    tries.left_over += _claim(ground, database, begins)
    with database.look() as work:
        called_off = work.alerts.look(alert.id)
        if called_off is not None:
            tries.cancelled = count(work, alert.id, called_off.state).cancelled


def make_officer(database: Database) -> Officer:
    """Add an administrator, who may warn all districts."""
    with database.work() as work:
        return add_officer(
            work, name="Asha Mlima", code=ids.one_time_code(), now=MORNING, role=Role.ADMINISTRATOR
        )


def draft_alert(tools: Tools, database: Database, officer: Officer, key: str, now: datetime) -> Alert:
    """Keep a frost warning for all districts as a draft."""
    with database.work() as work:
        everywhere = frozenset(district.id for district in work.people.districts())
        order = Order(
            idem_key=key,
            audience=Audience(districts=everywhere),
            template="frost",
            on=local_day(now, ZONE),
            figure=-1,
            words={},
            useless_after=now + _USEFUL,
        )
        return drafting.draft(work, tools, officer, order, now)


def confirm_alert(tools: Tools, database: Database, officer: Officer, alert: Alert, now: datetime) -> Alert:
    """Confirm a draft as it was shown."""
    with database.work() as work:
        return deciding.confirm(work, tools, officer, alert.id, digest=alert.digest, now=now)


def _batches_until_reply(ground: Ground, database: Database, watch: Stopwatch, now: datetime) -> int:
    """Claim a window of the alert, queue a reply, and return the claims it takes until that is on its way."""
    _claim(ground, database, now)
    reply = _reply(ground, now)
    with database.work() as work:
        work.outbox.queue([reply], gateway=ground.tools.programme.gateway, kinds=KINDS, at=now)
        work.commit()
    for batches in range(1, _MOST_BATCHES):
        with database.work() as work:
            taken = watch.time("claim", lambda: claim(work, ground.tools, now, ground.settings.sender_window))
        if reply.id in {text.id for text in taken}:
            return batches
    return _MOST_BATCHES


def _claim(ground: Ground, database: Database, now: datetime) -> int:
    with database.work() as work:
        return len(claim(work, ground.tools, now, ground.settings.sender_window))


def _reply(ground: Ground, now: datetime) -> NewMessage:
    """Return an answer to the first farmer, as the conversation queues it."""
    return NewMessage(
        id=ground.tools.ids.row(),
        queued_on=local_day(now, ZONE),
        idem_key="inbound:1",
        kind=_KIND,
        phone_id=1,
        farmer_id=1,
        language="en",
        text_id="total",
        text="Total 12.5 kg.",
        parts=1,
        zone=ZONE,
        not_before=now,
        expires_at=now + KINDS[_KIND].useful_for,
        inbound_id=1,
    )


def _cancel(database: Database, officer: Officer, alert_id: int, now: datetime) -> None:
    with database.work() as work:
        deciding.call_off(work, officer, alert_id, now)
