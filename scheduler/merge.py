"""Merging: the reminders that wait are written into texts, at most one a farmer and day but for what stands apart.

`compose` decides for one farmer from values alone; this module fetches those values for a chunk of phones, has the
texts written and keeps both in one transaction. Merging a day twice changes nothing: a phone that was texted today
is not texted again.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Final

from flows.alphabet import parts
from flows.states import TASK_QUESTIONS, State
from flows.wording import Name, Numbered, Phrase
from scheduler.compose import Day, OpenReminder, Text, compose
from scheduler.rhythm import rhythm_of
from service.agronomy.due import useful_until
from service.clock import local_day, local_instant
from service.core.kinds import KINDS
from service.core.model import NewMessage, Reminder, ReminderKey, keys_word
from service.db.queries.merging import Lately, Waiting
from service.db.work import Database, Work
from service.use_cases.hours import QUIET_FROM
from service.use_cases.planting import plot_days
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools
from service.use_cases.wording_jobs import full, label

CHUNK: Final = 500
CAP_DAYS: Final = timedelta(days=7)
LOOK_BACK: Final = timedelta(days=75)
# After an outage the texts of a morning are spread, so that answers and gateway are not flooded at one moment.
SPREAD_MINUTES: Final = 120


def merge_due(database: Database, tools: Tools, now: datetime, *, chunk: int = CHUNK) -> int:
    """Write the texts of every planned day that has none yet; return how many texts that made."""
    with database.look() as work:
        open_days = work.planning.unmerged()
    return sum(
        _merge_zone(database, tools, zone, day, now, chunk)
        for zone, calendar_id, day in open_days
        if calendar_id == tools.calendar.id
    )


def _merge_zone(database: Database, tools: Tools, zone: str, day: date, now: datetime, chunk: int) -> int:
    made, after = 0, 0
    while True:
        with database.work() as work:
            phones = work.merging.phones(zone, tools.calendar.id, after, chunk)
            if not phones:
                work.planning.mark_merged(zone, tools.calendar.id, day, now)
                work.commit()
                return made
            made += _merge_phones(work, tools, phones, zone, day, now, spread=True)
            work.commit()
        after = phones[-1]


def merge_farmers(database: Database, tools: Tools, farmer_ids: Sequence[int], now: datetime) -> int:
    """Write today's texts of these farmers, whose plots were planned apart from the day's sweep."""
    made = 0
    with database.work() as work:
        for phone_id in work.merging.phones_of(farmer_ids):
            people = work.people.on_phone(phone_id)
            zone = people[0].zone
            day = local_day(now, zone)
            made += _merge_phones(work, tools, (phone_id,), zone, day, now, spread=False)
        work.commit()
    return made


@dataclass(kw_only=True)
class _Chunk:
    """What a chunk of phones has led to so far."""

    messages: list[NewMessage] = field(default_factory=list)
    texted: list[tuple[ReminderKey, date, int, int | None]] = field(default_factory=list)
    dropped: list[tuple[ReminderKey, str]] = field(default_factory=list)
    relisted: list[int] = field(default_factory=list)


def _merge_phones(
    work: Work, tools: Tools, phones: Sequence[int], zone: str, day: date, now: datetime, *, spread: bool
) -> int:
    waiting = [one for one in work.merging.waiting(phones, day) if one.reminders]
    plot_ids = [plot.id for one in waiting for plot in one.plots]
    lately = work.merging.lately(plot_ids, day - LOOK_BACK)
    pushed = work.outbox.pushed_days(phones, day - CAP_DAYS)
    chunk = _Chunk()
    for one in waiting:
        made = len(chunk.messages)
        days = pushed.setdefault(one.phone_id, [])
        _merge_farmer(tools, one, zone, day, now, lately, days, chunk, spread=spread)
        days += [day for new in chunk.messages[made:] if KINDS[new.kind].counts_to_cap]
    work.merging.clear_places(chunk.relisted)
    work.outbox.queue(chunk.messages, gateway=tools.programme.gateway, kinds=KINDS, at=now)
    work.merging.set_texted(chunk.texted)
    work.merging.set_dropped(chunk.dropped)
    return len(chunk.messages)


def _merge_farmer(
    tools: Tools,
    one: Waiting,
    zone: str,
    day: date,
    now: datetime,
    lately: dict[tuple[int, str], Lately],
    texted: Sequence[date],
    chunk: _Chunk,
    *,
    spread: bool,
) -> None:
    by_key: dict[Hashable, Reminder] = dict(enumerate(one.reminders))
    open_ = [_open(tools, number, reminder, lately) for number, reminder in by_key.items()]
    rhythm = rhythm_of(tools.calendar, [plot_days(plot) for plot in one.plots])

    def fits(reminders: Sequence[OpenReminder]) -> bool:
        phrase = _list_phrase(tools, one, [by_key[each.key] for each in reminders], day, more=True)
        return parts(tools.wording.write(phrase, one.language)) == 1

    decided = compose(day, rhythm, open_, texted, fits)
    chunk.dropped += [(by_key[drop.reminder.key].key, drop.reason.value) for drop in decided.drops]
    for text in decided.texts:
        message = _write(tools, one, text, by_key, decided, zone, day, now, spread=spread)
        listed = message.kind == "reminder"
        if listed:
            chunk.relisted += [plot.id for plot in one.plots]
        chunk.messages.append(message)
        for place, same in enumerate(text.jobs, start=1):
            chunk.texted += [
                (by_key[each.key].key, message.queued_on, message.id, place if listed else None)
                for each in same
            ]


def _open(
    tools: Tools, number: Hashable, reminder: Reminder, lately: dict[tuple[int, str], Lately]
) -> OpenReminder:
    task = tools.calendar.by_id[reminder.key.task]
    last = lately.get((reminder.key.plot_id, task.id))
    return OpenReminder(
        key=number,
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


def _list_phrase(
    tools: Tools, one: Waiting, reminders: Sequence[Reminder], day: date, *, more: bool
) -> Phrase:
    labels = Numbered(tuple((at, label(tools, each, day)) for at, each in enumerate(reminders, start=1)))
    return Phrase("week_more" if more else "week", {"name": Name(one.name), "jobs": labels})


def _write(
    tools: Tools,
    one: Waiting,
    text: Text,
    by_key: dict[Hashable, Reminder],
    decided: Day,
    zone: str,
    day: date,
    now: datetime,
    *,
    spread: bool,
) -> NewMessage:
    """Write one text: a single job goes with its full text, several as a numbered list."""
    jobs = [by_key[same[0].key] for same in text.jobs]
    if len(jobs) == 1:
        phrase = full(tools, jobs[0], day, one.name, 1)
        state = TASK_QUESTIONS.get(jobs[0].key.task, State.JOBS)
    else:
        phrase = _list_phrase(tools, one, jobs, day, more=any(each.ready_on <= day for each in decided.waits))
        state = State.JOBS
    kind = "flowers_stay" if text.outside_cap else "reminder"
    not_before = local_instant(day, one.text_hour, zone)
    if not_before < now:
        not_before = now + timedelta(minutes=one.phone_id % SPREAD_MINUTES if spread else 0)
    message = new_text(
        tools,
        phrase,
        language=one.language,
        kind=kind,
        phone_id=one.phone_id,
        farmer_id=one.farmer_id,
        zone=zone,
        day=day,
        idem_key=f"{kind}:{one.farmer_id}:{jobs[0].key}",
        not_before=not_before,
        opens={"state": state, "data": _question(state, text, by_key, day)},
    )
    useful = max(each.useful_until for each in text.reminders)
    # A text goes no more once the last useful day of its jobs is over.
    return replace(message, expires_at=min(message.expires_at, local_instant(useful, QUIET_FROM, zone)))


def _question(state: State, text: Text, by_key: dict[Hashable, Reminder], day: date) -> dict[str, object]:
    if state is State.JOBS:
        return {}
    return {"job": keys_word(by_key[each.key].key for each in text.reminders), "on": day.isoformat()}
