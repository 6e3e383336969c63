"""Merging: the reminders that wait are written into texts, one a farmer and day but for what stands apart.

`compose` decides for one farmer from values alone and `writing` finds the words; this module fetches the values
for a chunk of phones and keeps what was decided in one transaction. Merging a day twice changes nothing: a phone
that was texted today is not texted again.

Deciding takes far longer than keeping, and on SQLite nobody else writes meanwhile. So it is done before the
transaction that keeps it. That one looks at the same values again: for a phone of which anything has changed, since
a farmer has said stop or has a job done, it is decided anew.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Final

from scheduler.compose import OpenReminder, compose, held_back
from scheduler.eve import asks_about, eve_of, numbered
from scheduler.eves_on_phone import asked_first, evenings_kept, why_not_asked
from scheduler.holds import end_holds
from scheduler.nudging import nudge_zone
from scheduler.overtaken import why_overtaken
from scheduler.writing import Hand, Morning
from service.agronomy.calendar import PICKING
from service.agronomy.due import useful_until
from service.agronomy.hold import SPEAKS_OF_PICKING
from service.agronomy.rhythm import CAP_DAYS, rhythm_of
from service.agronomy.tasks import LOOK_BACK
from service.clock import local_day
from service.core.kinds import KINDS
from service.core.model import NewMessage, Reminder, ReminderKey
from service.db.queries.waiting import Gathered, Waiting
from service.db.work import Database, Work
from service.use_cases.tools import Tools

# Phones in one transaction: keeping what was decided for them takes a hundredth of a second or two.
CHUNK: Final = 100


def merge_due(database: Database, tools: Tools, now: datetime, *, chunk: int = CHUNK) -> int:
    """Write the texts of every planned day that has none yet; return how many texts that made."""
    with database.look() as work:
        open_days = work.planning.unmerged()
        mornings = [
            (
                tools.with_calendar(calendar.id),
                Morning(zone=zone, day=day, now=now, spread=True, experiments=work.experiments.running(day)),
            )
            for zone, calendar_id, day in open_days
            for calendar in tools.calendars
            if calendar_id == calendar.id
        ]
    return sum(_merge_zone(database, own, morning, chunk) for own, morning in mornings)


def _merge_zone(database: Database, tools: Tools, morning: Morning, chunk: int) -> int:
    made, after = 0, 0
    while True:
        with database.look() as work:
            phones = work.merging.phones(morning.zone, tools.calendar.id, after, chunk)
            known = _look_up(work, tools, phones, morning)
        if not phones:
            break
        decided = _decide(tools, known.by_phone(), morning)
        with database.work() as work:
            decided = _renewed(work, tools, known, decided, morning)
            made += _keep(work, tools, decided, morning)
            work.commit()
        after = phones[-1]
    # Once for the day, when all its texts are known.
    made += nudge_zone(database, tools, morning)
    made += end_holds(database, tools, morning)
    with database.work() as work:
        work.planning.mark_merged(morning.zone, tools.calendar.id, morning.day, morning.now)
        work.commit()
    return made


def merge_farmers(database: Database, tools: Tools, farmer_ids: Sequence[int], now: datetime) -> None:
    """Write today's texts of these farmers, whose plots were planned apart from the day's sweep."""
    with database.work() as work:
        for phone_id in work.merging.phones_of(farmer_ids):
            zone = work.people.on_phone(phone_id)[0].zone
            day = local_day(now, zone)
            tried = work.experiments.running(day)
            morning = Morning(zone=zone, day=day, now=now, spread=False, experiments=tried)
            for calendar in tools.calendars:
                own = tools.with_calendar(calendar.id)
                known = _look_up(work, own, (phone_id,), morning)
                _keep(work, own, _decide(own, known.by_phone(), morning), morning)
        work.commit()


@dataclass(frozen=True, kw_only=True, slots=True)
class _OnPhone:
    """What is known of one phone: the farmers for whom something waits, and when it was pushed texts lately."""

    waiting: tuple[Waiting, ...]
    pushed: Sequence[date]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Known:
    """What is known of the phones of a chunk."""

    phones: tuple[int, ...]
    gathered: Gathered
    pushed: Mapping[int, Sequence[date]]

    def by_phone(self) -> dict[int, _OnPhone]:
        """Return the phones for which something waits."""
        return {
            phone_id: _OnPhone(waiting=waiting, pushed=self.pushed.get(phone_id, ()))
            for phone_id, waiting in self.gathered.by_phone().items()
        }


@dataclass(kw_only=True)
class _Decided:
    """What was decided for a phone so far."""

    messages: list[NewMessage] = field(default_factory=list)
    texted: list[tuple[ReminderKey, date, int, int | None]] = field(default_factory=list)
    dropped: list[tuple[ReminderKey, str]] = field(default_factory=list)
    relisted: list[int] = field(default_factory=list)


def _look_up(work: Work, tools: Tools, phones: tuple[int, ...], morning: Morning) -> _Known:
    return _Known(
        phones=phones,
        gathered=work.merging.gather(
            phones,
            on=morning.day,
            since=morning.day - LOOK_BACK,
            now=morning.now,
            calendar=tools.calendar,
        ),
        # A day more than the cap of today counts: what fell due yesterday is told why it was not texted.
        pushed=work.outbox.pushed_days(phones, morning.day - CAP_DAYS - timedelta(days=1)),
    )


def _renewed(
    work: Work, tools: Tools, known: _Known, decided: dict[int, _Decided], morning: Morning
) -> dict[int, _Decided]:
    """Return what was decided, anew for phones of which it is not as it was known any more."""
    now = _look_up(work, tools, known.phones, morning)
    if now == known:
        return decided
    before, after = known.by_phone(), now.by_phone()
    same = {phone_id: one for phone_id, one in decided.items() if after.get(phone_id) == before[phone_id]}
    changed = {phone_id: one for phone_id, one in after.items() if phone_id not in same}
    return same | _decide(tools, changed, morning)


def _keep(work: Work, tools: Tools, decided: Mapping[int, _Decided], morning: Morning) -> int:
    """Keep what was decided; return how many texts that are."""
    every = decided.values()
    messages = [new for one in every for new in one.messages]
    work.merging.clear_places([plot_id for one in every for plot_id in one.relisted])
    work.outbox.queue(messages, gateway=tools.programme.gateway, kinds=KINDS, at=morning.now)
    work.merging.set_texted([row for one in every for row in one.texted])
    work.merging.set_dropped([row for one in every for row in one.dropped])
    return len(messages)


def _decide(tools: Tools, phones: Mapping[int, _OnPhone], morning: Morning) -> dict[int, _Decided]:
    """Decide what goes today to each of these phones."""
    return {phone_id: _decide_phone(tools, one, morning) for phone_id, one in phones.items()}


def _decide_phone(tools: Tools, on_phone: _OnPhone, morning: Morning) -> _Decided:
    decided = _Decided()
    # Farmers who share a phone share its cap: what the first is texted counts for the next.
    days = [*on_phone.pushed]
    for one in asked_first(tools.calendar, on_phone.waiting, morning.day):
        texts = _merge_farmer(tools, one, on_phone, morning, days, decided=decided)
        days += [morning.day for new in texts if KINDS[new.kind].counts_to_cap]
    return decided


def _merge_farmer(
    tools: Tools,
    one: Waiting,
    on_phone: _OnPhone,
    morning: Morning,
    texted: Sequence[date],
    *,
    decided: _Decided,
) -> list[NewMessage]:
    eve = eve_of(one, morning.day)
    overtaken = [
        (
            reminder,
            why_overtaken(tools, reminder, one)
            or why_not_asked(reminder, one, eve, on_phone.waiting, on_phone.pushed),
        )
        for reminder in one.reminders
    ]
    decided.dropped += [(reminder.key, why.value) for reminder, why in overtaken if why is not None]
    by_key: dict[Hashable, Reminder] = dict(enumerate(reminder for reminder, why in overtaken if why is None))
    reminders = [_open(tools, key, reminder, one) for key, reminder in by_key.items()]
    rhythm = rhythm_of(tools.calendar, one.plots.values(), morning.day)
    if eve is not None and any(reminder.key.task == PICKING for reminder in by_key.values()):
        rhythm = replace(rhythm, also=morning.day)
    hand = Hand(tools, one, by_key, morning, eve)
    kept = evenings_kept(tools.calendar, one, on_phone.waiting, morning.day)
    today = compose(morning.day, rhythm, reminders, texted, hand.fits, kept=kept)
    if one.held_out:
        today = held_back(today)
    decided.dropped += [(by_key[drop.reminder.key].key, drop.reason.value) for drop in today.drops]
    more = any(each.ready_on <= morning.day for each in today.waits)
    messages = []
    for text in today.texts:
        message = hand.write(text, more=more)
        messages.append(message)
        listed = KINDS[message.kind].counts_to_cap
        if listed:
            decided.relisted += one.plots
        places = numbered(text.jobs) if asks_about(eve, text.reminders) else _places(text.jobs)
        for same in text.jobs:
            place = places.get(same[0].task_id) if listed else None
            decided.texted += [(by_key[each.key].key, message.queued_on, message.id, place) for each in same]
    decided.messages += messages
    return messages


def _places(jobs: Sequence[Sequence[OpenReminder]]) -> Mapping[str, int]:
    return {same[0].task_id: place for place, same in enumerate(jobs, start=1)}


def _open(tools: Tools, key: Hashable, reminder: Reminder, one: Waiting) -> OpenReminder:
    task = tools.calendar.for_bits(reminder.traits).by_id[reminder.key.task]
    last = one.lately.get((reminder.key.plot_id, task.id))
    return OpenReminder(
        key=key,
        plot=reminder.key.plot_id,
        task_id=task.id,
        rank=task.rank,
        due_on=reminder.key.due_on,
        useful_until=useful_until(task, reminder.planted_on, reminder.key.due_on),
        last_day=reminder.planted_on + timedelta(days=task.last),
        min_gap=task.min_gap,
        outside_cap=task.outside_cap,
        last_texted=last.texted_on if last else None,
        answered=bool(task.repeat_after and last and last.answered),
        held_until=_held_until(reminder, one),
    )


def _held_until(reminder: Reminder, one: Waiting) -> date | None:
    """Return until when a spray keeps a reminder from being texted; the evening before a collection says so itself."""
    task = reminder.key.task
    if task not in SPEAKS_OF_PICKING or (task == PICKING and one.collection is not None):
        return None
    return one.held.get(reminder.key.plot_id)
