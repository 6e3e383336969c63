"""What one farmer is texted today, and what waits or falls away.

Theory of operation. Reminders fall due one by one; a farmer gets few texts. `compose` is asked once a day for
each farmer with open reminders and answers from values alone:

1. What was answered, is too late, or was asked a short while ago is dropped, each with its reason.
2. What stands outside the cap goes at once, each as a text of its own.
3. The rest shares one text, if there is one today: on a text day; on the spare day if something waiting is
   useful for less than a week beyond the next text day; on any other day if something would lose its last
   useful day before the next chance. An extra text gives way to the coming text days, and a text day to
   picking days.
4. Into the text go the jobs by rank as far as they fit. What does not fit waits for the next text.

Why a job asked a short while ago may still wait: when the weekly jobs move to a picking day, two occurrences
come close together. If a text day comes late enough, the second waits for it. If none does, it is dropped at
once, because a late extra text would only push the following occurrence into the same trouble.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import groupby
from typing import Final

from service.agronomy.calendar import WEEK
from service.agronomy.rhythm import CAP, Rhythm

# More than nine jobs would need two digits to answer.
MOST_JOBS: Final = 9
# So many of the longest labels fit one part; the catalogue's lint holds the texts to it.
SURE_JOBS: Final = 3


class Reason(StrEnum):
    """Why a reminder is dropped, in words that a person can read on a page."""

    ANSWERED = "answered already"
    REPLACED = "the same job has fallen due again"
    TASK_OVER = "the task is over"
    NO_COLLECTION = "no fruit is collected on the day after"
    ASKED_NEXT = "another farmer of this phone was asked first, whose answer asks this one too"
    PHONE_HAD_ONE = "this phone had another text that day"
    PHONE_HAD_ALL = "this phone had all its texts of that week"
    NOT_ASKED = "was not asked on the evening before the collection, and now it is too late"
    HELD = "no picking yet: a spray was told of"
    USEFUL_DAYS_PASSED = "its useful days have passed"
    ASKED_LATELY = "asked too short a while ago"
    NO_SUCH_JOB = "the crop calendar has this job no more"
    TOLD_BEFORE = "told before the crop calendar changed"
    FLOWERS_STAY = "told already to leave the flowers on"
    HELD_OUT = "gets no advice unasked, so that others can be compared"


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenReminder:
    """One reminder that is due and was neither texted nor dropped yet.

    Attributes:
        key: whatever the caller knows it by.
        plot: the plot it is for.
        task_id: the task.
        rank: 1 loses most if missed.
        due_on: the day it fell due.
        useful_until: the last day on which it may be texted.
        last_day: the last day of the task for this plot, whatever the occurrence.
        min_gap: how many days must lie between two texts of this task for this plot.
        outside_cap: whether its text stands outside the cap.
        last_texted: when this task was last texted for this plot.
        answered: whether the farmer has already answered what it would ask.
        held_until: where it speaks of picking while a spray forbids that: the first day on which it may be texted.
    """

    key: Hashable
    plot: int
    task_id: str
    rank: int
    due_on: date
    useful_until: date
    last_day: date
    min_gap: int = 0
    outside_cap: bool = False
    last_texted: date | None = None
    answered: bool = False
    held_until: date | None = None

    @property
    def ready_on(self) -> date:
        """The first day on which it may be texted."""
        first = max(self.due_on, self.held_until or self.due_on)
        if self.last_texted is None:
            return first
        return max(first, self.last_texted + timedelta(days=self.min_gap))


@dataclass(frozen=True, kw_only=True, slots=True)
class Text:
    """One text to send today: its reminders in order, those of one task beside each other.

    A text about one job goes with that job's full text, several jobs go as a numbered list.
    """

    reminders: tuple[OpenReminder, ...]

    @property
    def jobs(self) -> tuple[tuple[OpenReminder, ...], ...]:
        """The reminders by task, in the order of their numbers: one task has one number for all plots."""
        return tuple(tuple(group) for _, group in groupby(self.reminders, key=lambda open_: open_.task_id))

    @property
    def outside_cap(self) -> bool:
        """Whether it stands outside the cap."""
        return all(open_.outside_cap for open_ in self.reminders)


@dataclass(frozen=True, kw_only=True, slots=True)
class Drop:
    """A reminder that will not be texted any more, and why."""

    reminder: OpenReminder
    reason: Reason


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """What is decided for one farmer and one day; every open reminder is in exactly one of the three."""

    texts: tuple[Text, ...]
    drops: tuple[Drop, ...]
    waits: tuple[OpenReminder, ...]


Fits = Callable[[Sequence[OpenReminder]], bool]


def compose(
    day: date,
    rhythm: Rhythm,
    reminders: Iterable[OpenReminder],
    texted: Collection[date],
    fits: Fits,
    *,
    kept: Collection[date] = (),
) -> Day:
    """Decide what one farmer is texted on `day`.

    Args:
        day: the local day.
        rhythm: the farmer's text days.
        reminders: all open reminders of the farmer that are due by `day`.
        texted: the days of texts under the cap to the farmer's phone in the last seven days, today included.
        fits: says whether one reminder of each job, in this order, fit a list of one part; asked only beyond
            `SURE_JOBS`, which always fit.
        kept: days of the coming week that the phone's cap is kept for, whoever is texted then.
    """
    drops, live = _sift(day, rhythm, sorted(reminders, key=lambda open_: open_.due_on))
    ready = [open_ for open_ in live if open_.ready_on <= day]
    alone = [open_ for open_ in ready if open_.outside_cap]
    shared = [open_ for open_ in ready if not open_.outside_cap]
    texts = [Text(reminders=(open_,)) for open_ in alone]
    if shared and _may_text(day, rhythm, shared, texted, kept):
        texts.append(Text(reminders=_choose(shared, fits)))
    gone = {open_.key for text in texts for open_ in text.reminders}
    waits = tuple(open_ for open_ in live if open_.key not in gone)
    return Day(texts=tuple(texts), drops=drops, waits=waits)


def held_back(day: Day) -> Day:
    """Return the day of a farmer who is held out of advice: nothing is texted, and what waited long enough goes.

    What is not over yet still waits, so that a farmer who asks for the jobs is told them.
    """
    drops = tuple(Drop(reminder=drop.reminder, reason=Reason.HELD_OUT) for drop in day.drops)
    unsent = tuple(open_ for text in day.texts for open_ in text.reminders)
    return Day(texts=(), drops=drops, waits=(*day.waits, *unsent))


def may_nudge(day: date, rhythm: Rhythm, texted: Collection[date]) -> bool:
    """Say whether a farmer may be asked after an unanswered job on `day`.

    A nudge is a text under the cap like any other, and the least of them: it gives way to all text days and spare
    days of the coming week, so that nothing is lost for it.

    Args:
        day: the local day.
        rhythm: the text days of all who are texted on the phone.
        texted: the days of texts under the cap to the phone in the last seven days, today included.
    """
    if day in texted or rhythm.is_text_day(day) or rhythm.is_spare_day(day):
        return False
    week = [day + timedelta(days=step) for step in range(1, WEEK)]
    return _has_room(
        day, texted, [one for one in week if rhythm.is_text_day(one) or rhythm.is_spare_day(one)]
    )


def _sift(
    day: date, rhythm: Rhythm, by_due: Sequence[OpenReminder]
) -> tuple[tuple[Drop, ...], list[OpenReminder]]:
    """Part what is to be dropped from what still counts."""
    newest = {(open_.plot, open_.task_id): open_.key for open_ in by_due}
    tests: tuple[tuple[Reason, Callable[[OpenReminder], bool]], ...] = (
        (Reason.ANSWERED, lambda open_: open_.answered),
        (Reason.TASK_OVER, lambda open_: open_.last_day < day),
        (Reason.HELD, lambda open_: _held_too_long(rhythm, open_)),
        (Reason.USEFUL_DAYS_PASSED, lambda open_: open_.useful_until < day),
        (Reason.REPLACED, lambda open_: newest[open_.plot, open_.task_id] != open_.key),
        (Reason.ASKED_LATELY, lambda open_: _asked_lately(day, rhythm, open_)),
    )
    drops: list[Drop] = []
    live: list[OpenReminder] = []
    for open_ in by_due:
        reason = next((reason for reason, holds in tests if holds(open_)), None)
        if reason is None:
            live.append(open_)
        else:
            drops.append(Drop(reminder=open_, reason=reason))
    return tuple(drops), live


def _held_too_long(rhythm: Rhythm, open_: OpenReminder) -> bool:
    """Say whether it may not be texted before a hold ends, and no text day is left then."""
    if open_.held_until is None:
        return False
    return not any(rhythm.text_days(open_.held_until, open_.useful_until))


def _asked_lately(day: date, rhythm: Rhythm, open_: OpenReminder) -> bool:
    """Say whether it was asked too short a while ago, with no text day left once the gap is over."""
    if open_.ready_on <= day:
        return False
    if open_.outside_cap:
        return open_.ready_on > open_.useful_until
    return not any(rhythm.text_days(open_.ready_on, open_.useful_until))


def _may_text(
    day: date,
    rhythm: Rhythm,
    ready: Sequence[OpenReminder],
    texted: Collection[date],
    kept: Collection[date],
) -> bool:
    """Say whether a text under the cap goes out on `day`."""
    if day in texted or not _has_room(day, texted, kept):
        return False
    if rhythm.is_prompt_day(day):
        return True
    week = [day + timedelta(days=step) for step in range(1, WEEK)]
    if rhythm.is_text_day(day):
        return _has_room(day, texted, {*kept, *filter(rhythm.is_prompt_day, week)})
    if not _needs_extra(day, rhythm, min(open_.useful_until for open_ in ready)):
        return False
    return _has_room(day, texted, {*kept, *filter(rhythm.is_text_day, week)})


def _needs_extra(day: date, rhythm: Rhythm, hurry: date) -> bool:
    """Say whether what is useful until `hurry` at the earliest needs a text on a day that is no text day."""
    tomorrow = day + timedelta(days=1)
    if rhythm.is_spare_day(day):
        following = next(rhythm.text_days(tomorrow, day + timedelta(days=WEEK)), None)
        return following is None or hurry < following + timedelta(days=WEEK)
    return not any(rhythm.chances(tomorrow, hurry))


def _has_room(day: date, texted: Collection[date], coming: Collection[date]) -> bool:
    """Say whether `day` fits in between `texted` and `coming` without one too many in any seven days."""
    days = sorted([*texted, day, *coming])
    place = days.index(day)
    around = days[max(0, place - CAP) : place + CAP + 1]
    return all((last - first).days >= WEEK for first, last in zip(around, around[CAP:], strict=False))


def _choose(ready: Sequence[OpenReminder], fits: Fits) -> tuple[OpenReminder, ...]:
    """Take the jobs by rank as far as they fit; of equal rank what fell due first, then what spoils first."""
    by_rank = sorted(ready, key=lambda open_: (open_.rank, open_.due_on, open_.useful_until))
    jobs: dict[str, list[OpenReminder]] = {}
    for open_ in by_rank:
        jobs.setdefault(open_.task_id, []).append(open_)
    chosen: list[list[OpenReminder]] = []
    for job in jobs.values():
        tried = [*chosen, job]
        if len(tried) <= SURE_JOBS or (len(tried) <= MOST_JOBS and fits([each[0] for each in tried])):
            chosen = tried
    return tuple(open_ for job in chosen for open_ in job)
