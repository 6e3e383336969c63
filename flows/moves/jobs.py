"""Jobs: the list, how one is done, what is done, and the two questions that a job can ask."""

from itertools import chain
from typing import Final

from flows.effects import Effect, Finding, ListJobs, SaveDone, SaveScout, Say
from flows.facts import Farmer, Job
from flows.inputs import Done, Jobs
from flows.moves.counting import RECOUNT
from flows.moves.counting import ask as ask_count
from flows.moves.harvests import ask_kilos, bare_number
from flows.moves.turn import Moment, Move, Turn, asked, ended, missed, settled
from flows.spraying import Held, held_on
from flows.states import TASK_QUESTIONS, State
from flows.wording import Name, Numbered, Phrase

MOST_LISTED: Final = 9
ALL: Final = Jobs()
# Marks a list under which a job's name alone says that it is finished.
WHICH: Final = "which"
# Marks a job whose way of doing was asked for: its number may come once more without its being done.
READ: Final = "read"
_PICKING: Final = "picking"
_SCOUT: Final = "scout"


def jobs(moment: Moment) -> Turn:
    """Show the open jobs, or how the one at a place is done."""
    wanted = moment.expect(Jobs).number
    farmer = moment.someone()
    # What may be picked again and when belongs to any answer about jobs.
    hold = held_on(farmer.sprays, moment.facts.on)
    if not farmer.jobs:
        say = moment.say("jobs_none_held", date_free=hold.pick_from) if hold else moment.say("jobs_none")
        return settled(moment, "no job is open", say)
    places = placed(farmer)
    if wanted is not None and wanted in places:
        job = places[wanted]
        say = Say(phrase=_at(job.full, wanted), language=moment.language)
        state = TASK_QUESTIONS.get(job.task, State.JOBS)
        why = f"how job {wanted} is done"
        on = moment.facts.on.isoformat()
        return asked(moment, why, state, listed(moment), say, job=job.key, on=on, **{READ: True})
    return asked(
        moment,
        "the open jobs are listed",
        State.JOBS,
        listed(moment),
        _list_of(moment, places, hold),
    )


def _list_of(moment: Moment, places: dict[int, Job], hold: Held | None) -> Say:
    numbered = _numbered(places)
    if hold:
        return moment.say("jobs_list_held", jobs=numbered, date_free=hold.pick_from)
    return moment.say("jobs_list", jobs=numbered, task=_example(places))


def _example(places: dict[int, Job]) -> int:
    """Return a number that is in the list, to show with: the second where there is one."""
    return list(places)[:2][-1]


def placed(farmer: Farmer) -> dict[int, Job]:
    """Number the open jobs: a job keeps the number it was last shown with, the others follow after.

    A number whose job is done is given away again only when there is no other left.
    """
    kept = {job.place: job for job in farmer.jobs if job.place is not None}
    last = max((*kept, *farmer.answered_places), default=0)
    free = [number for number in range(1, last + 1) if number not in kept]
    numbers = chain(range(last + 1, MOST_LISTED + 1), free)
    waiting = (job for job in farmer.jobs if job.place is None)
    return dict(sorted({**kept, **dict(zip(numbers, waiting, strict=False))}.items()))


def _at(full: Phrase, place: int) -> Phrase:
    """Return a job's whole text with the number it has in the list."""
    values = dict(full.values)
    return Phrase(full.text_id, values | {"task": place} if "task" in values else values)


def listed(moment: Moment) -> ListJobs:
    """Return the effect that keeps the numbers the farmer is shown."""
    farmer = moment.someone()
    places = tuple((job.key, place) for place, job in placed(farmer).items())
    return ListJobs(farmer_id=farmer.id, places=places)


def _numbered(places: dict[int, Job]) -> Numbered:
    return Numbered(tuple((place, job.label) for place, job in places.items()))


def done(moment: Moment) -> Turn:
    """Take jobs reported as done by their numbers, or the only open one without a number."""
    report = moment.expect(Done)
    seen = {job.place: job for job in moment.someone().jobs if job.place is not None}
    return _all_done(moment, seen) if report.every and seen else _done(moment, report.numbers)


def _all_done(moment: Moment, seen: dict[int, Job]) -> Turn:
    """Take all jobs as done and say which they were; a picking is done with its weight, which is asked for.

    One thing is asked at a time: a count stays open where something else is.
    """
    tasks = {job.task for job in seen.values()}
    later = {_PICKING, RECOUNT} if tasks & {_PICKING, _SCOUT} else {_PICKING}
    finished = {place: job for place, job in sorted(seen.items()) if job.task not in later}
    if len(finished) == len(seen) == 1 or not finished:
        return _done(moment, tuple(seen))
    saves = [SaveDone(key=job.key, farmer_id=moment.someone().id) for job in finished.values()]
    effects: tuple[Effect, ...] = (
        listed(moment),
        *saves,
        moment.say("done_all_noted", jobs=_numbered(finished)),
    )
    if _PICKING in tasks:
        return ask_kilos(moment, None, *effects)
    if _SCOUT in tasks:
        return asked(moment, "what was seen is asked", State.SCOUT, *effects, moment.say("scout_ask"))
    if RECOUNT in tasks:
        return ask_count(moment, *effects)
    return settled(ended(moment), "all are done", *effects)


def done_by_number(moment: Moment) -> Turn:
    """Take a bare number under an open list; anything but a whole number is looked at as a weight."""
    choice = moment.choice()
    if choice is None or choice > MOST_LISTED:
        return bare_number(moment)
    read = placed(moment.someone()).get(choice)
    if read and moment.conversation.data.get(READ) and read.key == moment.conversation.text("job"):
        # Whoever has just read how it is done may have sent its number only to read it once more.
        say = moment.say("nudge", name=Name(moment.someone().name), job=read.label)
        return asked(moment, "whether the job is finished is asked", State.NUDGE, say, job=read.key)
    return _done(moment, (choice,))


def _done(moment: Moment, numbers: tuple[int, ...]) -> Turn:
    farmer = moment.someone()
    places = placed(farmer)
    # A number counts only where the farmer has seen it: one of an older list may be another job's by now.
    shown = {job.place: job for job in farmer.jobs if job.place is not None}
    finished = {number: shown[number] for number in numbers if number in shown}
    if not numbers and len(places) == 1:
        finished = places
    if not finished and farmer.answered_places.intersection(numbers):
        return settled(moment, "the job is done already", moment.say("done_already"))
    if not places:
        return settled(moment, "no job is open", moment.say("done_none"))
    if not finished:
        say = moment.say("done_which", jobs=_numbered(places))
        return asked(moment, "which job is asked", State.JOBS, listed(moment), say, **{WHICH: True})
    rest = {place: job for place, job in places.items() if place not in finished}
    saves: tuple[Effect, ...] = tuple(SaveDone(key=job.key, farmer_id=farmer.id) for job in finished.values())
    return _after_done(moment, tuple(finished.values()), rest, (listed(moment), *saves))


def _after_done(
    moment: Moment, finished: tuple[Job, ...], rest: dict[int, Job], effects: tuple[Effect, ...]
) -> Turn:
    """Go on from a done report: three tasks have a question of their own, for the others the list stays open."""
    tasks = {job.task for job in finished}
    if _PICKING in tasks:
        return ask_kilos(moment, None, *effects)
    if _SCOUT in tasks:
        return asked(moment, "what was seen is asked", State.SCOUT, *effects, moment.say("scout_ask"))
    if RECOUNT in tasks:
        return ask_count(moment, *effects)
    name = Name(moment.someone().name)
    label = finished[0].label if len(finished) == 1 else Phrase("jobs_count", {"n": len(finished)})
    if rest:
        say = moment.say("done_noted_open", job=label, jobs=_numbered(rest))
        return asked(moment, "done; others are open", State.JOBS, *effects, say)
    say = moment.say("done_noted", name=name, job=label)
    return settled(ended(moment), "done; nothing else is open", *effects, say)


def found(finding: Finding) -> Move:
    """Return the move that takes one of the five answers to what was seen under the leaves."""
    return lambda moment: _seen(moment, finding)


def scout_unclear(moment: Moment) -> Turn:
    """Ask once more what was seen under the leaves."""
    return missed(moment, "none of the five answers", moment.say("scout_ask"))


def _seen(moment: Moment, finding: Finding) -> Turn:
    farmer = moment.someone()
    key = moment.conversation.text("job")
    effects: list[Effect] = [SaveScout(farmer_id=farmer.id, plot_id=farmer.plot_id, finding=finding)]
    if key is not None:
        effects.append(SaveDone(key=key, farmer_id=farmer.id))
    if finding is Finding.CLEAR:
        say = moment.say("scout_noted_clear")
    else:
        say = moment.say("scout_noted_trouble", what=Phrase(f"finding.{finding}"))
    rest = {job.place: job for job in farmer.jobs if job.place is not None and job.key != key}
    if rest:
        here = ended(moment)
        return asked(here, "the look is kept; the list is open again", State.JOBS, *effects, say)
    return settled(ended(moment), "the look is kept", *effects, say)


def flowers_understood(moment: Moment) -> Turn:
    """The farmer has understood that the flowers stay."""
    key = moment.conversation.text("job")
    save = (SaveDone(key=key, farmer_id=moment.someone().id, answer="understood"),) if key else ()
    return settled(ended(moment), "understood", *save, moment.say("flowers_stay_noted"))


def flowers_unclear(moment: Moment) -> Turn:
    """Say once more that the flowers stay, and ask whether that is understood."""
    again = moment.say("task.flowers_stay.text", name=Name(moment.someone().name))
    return missed(moment, "neither 1 nor 2", again)
