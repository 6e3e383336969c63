"""Merging: the reminders that wait are written into texts, one a farmer and day but for what stands apart.

`compose` decides for one farmer from values alone and `writing` finds the words; this module fetches the values
for a chunk of phones and keeps what was decided in one transaction. Merging a day twice changes nothing: a phone
that was texted today is not texted again.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Final

from scheduler.compose import OpenReminder, compose
from scheduler.nudging import nudge_zone
from scheduler.rhythm import rhythm_of
from scheduler.writing import Morning, fits_one_part, write
from service.agronomy.due import useful_until
from service.clock import local_day
from service.core.kinds import KINDS
from service.core.model import NewMessage, Reminder, ReminderKey
from service.db.queries.merging import Lately, Waiting
from service.db.work import Database, Work
from service.use_cases.planting import plot_days
from service.use_cases.tools import Tools

# Phones in one transaction: each takes about a millisecond, in which nobody else writes on SQLite.
CHUNK: Final = 50
# Room for half a dozen texts that come in, or a hundred a second.
_GIVES_WAY: Final = 0.025
CAP_DAYS: Final = timedelta(days=7)
LOOK_BACK: Final = timedelta(days=75)


def merge_due(database: Database, tools: Tools, now: datetime, *, chunk: int = CHUNK) -> int:
    """Write the texts of every planned day that has none yet; return how many texts that made."""
    with database.look() as work:
        open_days = work.planning.unmerged()
    mornings = [
        Morning(zone=zone, day=day, now=now, spread=True)
        for zone, calendar_id, day in open_days
        if calendar_id == tools.calendar.id
    ]
    return sum(_merge_zone(database, tools, morning, chunk) for morning in mornings)


def _merge_zone(database: Database, tools: Tools, morning: Morning, chunk: int) -> int:
    made, after = 0, 0
    while True:
        with database.work() as work:
            phones = work.merging.phones(morning.zone, tools.calendar.id, after, chunk)
            if phones:
                made += _merge_phones(work, tools, phones, morning)
            work.commit()
        if not phones:
            break
        after = phones[-1]
        if len(phones) == chunk:
            database.give_way(_GIVES_WAY)
    # Once for the day, when all its texts are known.
    made += nudge_zone(database, tools, morning, chunk)
    with database.work() as work:
        work.planning.mark_merged(morning.zone, tools.calendar.id, morning.day, morning.now)
        work.commit()
    return made


def merge_farmers(database: Database, tools: Tools, farmer_ids: Sequence[int], now: datetime) -> int:
    """Write today's texts of these farmers, whose plots were planned apart from the day's sweep."""
    made = 0
    with database.work() as work:
        for phone_id in work.merging.phones_of(farmer_ids):
            zone = work.people.on_phone(phone_id)[0].zone
            morning = Morning(zone=zone, day=local_day(now, zone), now=now, spread=False)
            made += _merge_phones(work, tools, (phone_id,), morning)
        work.commit()
    return made


@dataclass(kw_only=True)
class _Decided:
    """What was decided for a chunk of phones so far."""

    messages: list[NewMessage] = field(default_factory=list)
    texted: list[tuple[ReminderKey, date, int, int | None]] = field(default_factory=list)
    dropped: list[tuple[ReminderKey, str]] = field(default_factory=list)
    relisted: list[int] = field(default_factory=list)


def _merge_phones(work: Work, tools: Tools, phones: Sequence[int], morning: Morning) -> int:
    waiting = [one for one in work.merging.waiting(phones, morning.day, morning.now) if one.reminders]
    plot_ids = [plot.id for one in waiting for plot in one.plots]
    lately = work.merging.lately(plot_ids, morning.day - LOOK_BACK)
    pushed = work.outbox.pushed_days(phones, morning.day - CAP_DAYS)
    decided = _Decided()
    for one in waiting:
        # Farmers who share a phone share its cap: what the first is texted counts for the next.
        days = pushed.setdefault(one.phone_id, [])
        texts = _merge_farmer(tools, one, morning, lately, days, decided)
        days += [morning.day for new in texts if KINDS[new.kind].counts_to_cap]
    work.merging.clear_places(decided.relisted)
    work.outbox.queue(decided.messages, gateway=tools.programme.gateway, kinds=KINDS, at=morning.now)
    work.merging.set_texted(decided.texted)
    work.merging.set_dropped(decided.dropped)
    return len(decided.messages)


def _merge_farmer(  # noqa: PLR0917 - what was fetched for the chunk, and what is decided for it
    tools: Tools,
    one: Waiting,
    morning: Morning,
    lately: dict[tuple[int, str], Lately],
    texted: Sequence[date],
    decided: _Decided,
) -> list[NewMessage]:
    by_key: dict[Hashable, Reminder] = dict(enumerate(one.reminders))
    reminders = [_open(tools, key, reminder, lately) for key, reminder in by_key.items()]
    rhythm = rhythm_of(tools.calendar, [plot_days(plot) for plot in one.plots])

    def fits(jobs: Sequence[OpenReminder]) -> bool:
        return fits_one_part(tools, one, [by_key[job.key] for job in jobs], morning.day)

    today = compose(morning.day, rhythm, reminders, texted, fits)
    decided.dropped += [(by_key[drop.reminder.key].key, drop.reason.value) for drop in today.drops]
    more = any(each.ready_on <= morning.day for each in today.waits)
    messages = []
    for text in today.texts:
        message = write(tools, one, text, by_key, morning, more=more)
        messages.append(message)
        listed = KINDS[message.kind].counts_to_cap
        if listed:
            decided.relisted += [plot.id for plot in one.plots]
        for place, same in enumerate(text.jobs, start=1):
            decided.texted += [
                (by_key[each.key].key, message.queued_on, message.id, place if listed else None)
                for each in same
            ]
    decided.messages += messages
    return messages


def _open(
    tools: Tools, key: Hashable, reminder: Reminder, lately: dict[tuple[int, str], Lately]
) -> OpenReminder:
    task = tools.calendar.by_id[reminder.key.task]
    last = lately.get((reminder.key.plot_id, task.id))
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
    )
