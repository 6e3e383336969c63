"""Nudging: a farmer who has not answered a text about jobs is asked after one of them, once; then silence.

It is done once a day, after the day's texts are written, two or three days after the text and only where the phone
has room under the cap, see `scheduler.compose.may_nudge`. One job is asked after, the one that loses most, and none
whose useful days are over. All jobs of the text count as asked after, so that a list is followed by one nudge at most.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import groupby
from typing import Final

from flows.states import State
from flows.texts import TEXTS
from flows.wording import Name, Phrase
from scheduler.compose import may_nudge
from scheduler.writing import Morning
from service.agronomy.due import useful_until
from service.agronomy.rhythm import CAP_DAYS, rhythm_of
from service.agronomy.tasks import LOOK_BACK, Task
from service.clock import local_day, local_instant
from service.core.kinds import KINDS
from service.core.model import NewMessage
from service.db.queries.nudges import Unanswered
from service.db.work import Database, Work
from service.use_cases.hours import QUIET_FROM
from service.use_cases.planting import plot_days
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools
from service.use_cases.wording_jobs import label

SOONEST: Final = timedelta(days=2)
LATEST: Final = timedelta(days=3)
# Phones in one transaction: on SQLite nobody else writes meanwhile.
_CHUNK: Final = 50
# Seconds between two transactions, for others who write.
_GIVES_WAY: Final = 0.005


def nudge_zone(database: Database, tools: Tools, morning: Morning) -> int:
    """Write the nudges of a zone's day; return how many. A day that is long over has none."""
    if morning.day != local_day(morning.now, morning.zone):
        return 0
    with database.look() as work:
        found = work.nudges.unanswered(
            morning.zone,
            tools.calendar.id,
            (morning.day - LATEST, morning.day - SOONEST),
            morning.day - LOOK_BACK,
            morning.now,
        )
    useful = (one for one in found if _asks(one) and _is_useful(tools, one, morning.day))
    by_phone = [list(group) for _, group in groupby(useful, key=lambda one: one.phone_id)]
    made = 0
    for phones in _chunks(by_phone, _CHUNK):
        with database.work() as work:
            made += _nudge(work, tools, phones, morning)
            work.commit()
        database.give_way(_GIVES_WAY)
    return made


def _chunks(by_phone: list[list[Unanswered]], most: int) -> Iterator[list[list[Unanswered]]]:
    for first in range(0, len(by_phone), most):
        yield by_phone[first : first + most]


def _asks(one: Unanswered) -> bool:
    """Return whether a job is answered with its number; others have a question of their own, or none."""
    return "task" in TEXTS[f"task.{one.reminder.key.task}.text"].placeholders


def _is_useful(tools: Tools, one: Unanswered, day: date) -> bool:
    # A job that the calendar has lost meanwhile is not asked after.
    own = tools.calendar.for_bits(one.reminder.traits).by_id
    return one.reminder.key.task in own and _until(tools, one) >= day


def _until(tools: Tools, one: Unanswered) -> date:
    key = one.reminder.key
    return useful_until(_task(tools, one), one.reminder.planted_on, key.due_on)


def _task(tools: Tools, one: Unanswered) -> Task:
    return tools.calendar.for_bits(one.reminder.traits).by_id[one.reminder.key.task]


def _nudge(work: Work, tools: Tools, phones: Sequence[list[Unanswered]], morning: Morning) -> int:
    ids = [of_phone[0].phone_id for of_phone in phones]
    plots, pushed = work.nudges.plots_on(ids), work.outbox.pushed_days(ids, morning.day - CAP_DAYS)
    messages: list[NewMessage] = []
    texts: list[tuple[date, int]] = []
    for of_phone in phones:
        phone_id = of_phone[0].phone_id
        rhythm = rhythm_of(tools.calendar, [plot_days(plot) for plot in plots[phone_id]], morning.day)
        if not may_nudge(morning.day, rhythm, pushed.get(phone_id, ())):
            continue
        # The first text that was not answered, and of its jobs the one that loses most.
        first = [one for one in of_phone if one.text == of_phone[0].text]
        chosen = min(first, key=lambda one: _task(tools, one).rank)
        messages.append(_write(tools, chosen, morning))
        texts.append(chosen.text)
    if texts:
        work.outbox.queue(messages, gateway=tools.programme.gateway, kinds=KINDS, at=morning.now)
        work.nudges.set_nudged(texts, morning.day - LOOK_BACK, morning.day)
    return len(messages)


def _write(tools: Tools, one: Unanswered, morning: Morning) -> NewMessage:
    key = one.reminder.key
    job = label(tools, one.reminder, morning.day)
    return new_text(
        tools,
        Phrase("nudge", {"name": Name(one.name), "job": job}),
        language=one.language,
        kind="nudge",
        phone_id=one.phone_id,
        farmer_id=one.farmer_id,
        zone=morning.zone,
        day=morning.day,
        idem_key=f"nudge:{one.farmer_id}:{key}",
        not_before=morning.leaves_at(one.text_hour, one.phone_id),
        until=local_instant(_until(tools, one), QUIET_FROM, morning.zone),
        opens={"state": State.NUDGE, "data": {"task": key.task}},
    )
