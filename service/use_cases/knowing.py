"""Gathering what the conversation may rest its answer on."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.facts import Facts, Farmer, Job, Tongue
from flows.inputs import Input, Undo
from flows.remarks import Correct
from flows.states import Conversation, State
from service.agronomy.calendar import FLOWERS_OFF
from service.agronomy.due import useful_until
from service.agronomy.hold import SPEAKS_OF_PICKING
from service.agronomy.tasks import LOOK_BACK, WEEK, Task
from service.core.model import Inbound, PersonOnPhone, Plot, Reminder, ReminderState, keys_word
from service.core.ports import Work
from service.use_cases.collecting.following import coming
from service.use_cases.last_saved import last_saved
from service.use_cases.planting import weekdays_of
from service.use_cases.spraying import held_plots, sprays_of
from service.use_cases.tools import Tools
from service.use_cases.wording_jobs import full, label

UNDO_WITHIN: Final = timedelta(hours=24)
# A job stays open for an answer a week longer than it is useful to be told of it.
ANSWERED_WITHIN: Final = timedelta(days=WEEK)
# So long what a farmer texts may go on from an officer's answer.
_ANSWERS_LAST: Final = timedelta(days=3)


def gather(
    work: Work, tools: Tools, phone_id: int, people: tuple[PersonOnPhone, ...], *, on: date, now: datetime
) -> Facts:
    """Return what the answer to any text from this phone may rest on; see `with_saved` and its like for the rest.

    `people` are those the phone speaks for.
    """
    return Facts(
        on=on,
        service=tools.programme.name,
        districts=tuple(district.name for district in work.people.districts()),
        language=people[0].language if people else tools.programme.language,
        languages=tuple(Tongue(code=code, name=tools.packs.name(code)) for code in tools.packs.languages),
        farmers=tuple(_farmer(work, tools, person, on, now) for person in people),
        stopped=work.people.has_stopped(phone_id),
        answered=work.talks.answered_since(phone_id, now - _ANSWERS_LAST) if people else None,
        emergency_number=tools.programme.emergency_number,
        longest_hold=tools.programme.longest_hold,
        currency=tools.programme.currency,
        answer_by=on + timedelta(days=tools.programme.answer_days) if tools.programme.answer_days else None,
        new_id=tools.ids.row(),
        next_id=tools.ids.row(),
        code=free_code(work, tools),
    )


def with_saved(
    work: Work,
    tools: Tools,
    inbound: Inbound,
    facts: Facts,
    said: Input,
    *,
    talk: Conversation,
    now: datetime,
) -> Facts:
    """Return the facts with what UNDO would take back, where a text may take back or put right."""
    if not isinstance(said, Undo | Correct) and talk.state is not State.STOP_OR_UNDO:
        return facts
    people = tuple(farmer.id for farmer in facts.farmers)
    since = now - UNDO_WITHIN
    return replace(facts, saved=last_saved(work, tools, inbound.phone_id, people, on=facts.on, since=since))


def free_code(work: Work, tools: Tools) -> str:
    """Return a code that no question has."""
    code = tools.ids.code()
    while not work.talks.code_is_free(code):
        code = tools.ids.code()
    return code


def main_plot(plots: tuple[Plot, ...]) -> Plot:
    """Return the plot a farmer's weights and findings go to: the newest that is open.

    A text names no plot yet, and the plants set last are those that will bear longest; weights of an older stand
    beside it are counted with it until plots can be named.
    """
    return max(plots, key=lambda plot: (plot.closed_on is None, plot.planted_on, plot.id))


def _farmer(work: Work, tools: Tools, person: PersonOnPhone, on: date, now: datetime) -> Farmer:
    plot = main_plot(work.plots.of_farmer(person.id))
    collection = None if plot.collection_id is None else work.collections.get(plot.collection_id)
    return Farmer(
        id=person.id,
        name=person.name,
        language=person.language,
        state=person.state,
        plot_id=plot.id,
        plants=plot.plants,
        planted_on=plot.planted_on,
        jobs=open_jobs(work, tools.with_calendar(plot.calendar_id), person.id, person.name, on),
        answered_places=work.reminders.answered_places(person.id),
        weights=work.harvests.weights(plot.id, on),
        sprays=sprays_of(work, plot.id, on),
        text_day=plot.text_day,
        pick_days=collection.weekdays if collection else weekdays_of(plot.pick_days),
        coming=coming(work, collection, person.id, now) if collection else None,
        paused=person.paused_until is not None and person.paused_until > now,
        district=person.district,
        joined_on=person.added_at.astimezone(ZoneInfo(person.zone)).date(),
        added_by=person.added_by,
        asked=person.asked,
        held_out=person.held_out,
    )


def open_jobs(work: Work, tools: Tools, farmer_id: int, name: str, on: date) -> tuple[Job, ...]:
    """Return what the farmer can report as done, by rank."""
    open_ = work.reminders.open_for(farmer_id, on, on - LOOK_BACK)
    held = held_plots(work, sorted({reminder.key.plot_id for reminder in open_}), on)
    # One task has one number, whichever of the farmer's plots it is due on; what is done now was done for last week too.
    by_task: dict[str, list[Reminder]] = {}
    for reminder in open_:
        silenced = reminder.key.plot_id in held and reminder.key.task in SPEAKS_OF_PICKING
        if not silenced and _answerable(tools, reminder, on):
            by_task.setdefault(reminder.key.task, []).append(reminder)
    ordered = sorted(by_task.values(), key=lambda same: (_rank(tools, same[0]), same[0].key.due_on))
    return tuple(_job(tools, same, name, on) for same in ordered)


def _own_tasks(tools: Tools, reminder: Reminder) -> Mapping[str, Task]:
    return tools.calendar.for_bits(reminder.traits).by_id


def _rank(tools: Tools, reminder: Reminder) -> int:
    return _own_tasks(tools, reminder)[reminder.key.task].rank


def _answerable(tools: Tools, reminder: Reminder, on: date) -> bool:
    calendar = tools.calendar.for_bits(reminder.traits)
    task = calendar.by_id.get(reminder.key.task)
    if task is None:
        # A calendar that was changed meanwhile has the job no more.
        return False
    if task.id == FLOWERS_OFF and not calendar.flower_weeks_left(reminder.planted_on, on):
        # Whoever is told of it now would take off flowers that become fruit.
        return False
    until = useful_until(task, reminder.planted_on, reminder.key.due_on)
    if reminder.state is ReminderState.TEXTED:
        until += ANSWERED_WITHIN
    return on <= until


def _job(tools: Tools, same: list[Reminder], name: str, on: date) -> Job:
    first = same[0]
    place = next((reminder.place for reminder in same if reminder.place is not None), None)
    return Job(
        key=keys_word(reminder.key for reminder in same),
        task=first.key.task,
        place=place,
        label=label(tools, first, on),
        full=full(tools, first, on, name, place or 1),
    )
