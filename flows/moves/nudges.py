"""A job that is not finished: put off, not needed, or one that needs a person's help."""

from collections.abc import Callable
from typing import Final

from flows.effects import DismissJob, PutOff
from flows.facts import Job
from flows.inputs import Done, NeedHelp, NotYet
from flows.moves import general, jobs
from flows.moves.turn import Moment, Move, Turn, ended, missed, settled, with_input
from flows.wording import Name


def not_yet(moment: Moment) -> Turn:
    """A job stays open; it is not asked after again."""
    found = _job(moment, moment.expect(NotYet).numbers)
    if found is None:
        return jobs.jobs(with_input(moment, jobs.ALL))
    place, job = found
    say = moment.say("not_yet_noted", job=job.label, task=place)
    return settled(moment, "a job is put off", jobs.listed(moment), _put_off(moment, job), say)


def _put_off(moment: Moment, job: Job) -> PutOff:
    return PutOff(key=job.key, farmer_id=moment.someone().id)


def need_help(moment: Moment) -> Turn:
    """Put a job on the officer's list; without a job the farmer is asked what it is about."""
    found = _job(moment, moment.expect(NeedHelp).numbers)
    return _help_with(moment, found[1]) if found else general.ask_what(moment)


def _job(moment: Moment, numbers: tuple[int, ...]) -> tuple[int, Job] | None:
    """Return the job that is meant and its number: the one named, the one asked after, or the only one."""
    placed = jobs.placed(moment.someone())
    talk = moment.conversation
    named = [(place, job) for place, job in placed.items() if place in numbers]
    meant = [
        (place, job)
        for place, job in placed.items()
        if job.key == talk.text("job") or job.task == talk.text("task")
    ]
    for found in (named, [] if numbers else meant, [] if numbers else list(placed.items())):
        if len(found) == 1:
            return found[0]
    return None


def _help_with(moment: Moment, job: Job) -> Turn:
    # The officer is told which job it is: a farmer's "4" says nothing.
    question = moment.note(f"{moment.text} ({job.task})")
    say = moment.say("job_help", job=job.label, code=question.code)
    return settled(ended(moment), "help with a job is needed", _put_off(moment, job), question, say)


def _asked_after(take: Callable[[Moment, int, Job], Turn]) -> Move:
    """Return the move that does something with the job that was asked after, if that is open still."""

    def move(moment: Moment) -> Turn:
        found = _job(moment, ())
        if found is None:
            return settled(ended(moment), "the job is closed already", moment.say("done_already"))
        return take(moment, *found)

    return move


def _finished(moment: Moment, place: int, _job: Job) -> Turn:
    return jobs.done(with_input(ended(moment), Done(numbers=(place,))))


def _tomorrow(moment: Moment, place: int, job: Job) -> Turn:
    say = moment.say("not_yet_noted", job=job.label, task=place)
    return settled(ended(moment), "tomorrow", jobs.listed(moment), _put_off(moment, job), say)


def _not_needed(moment: Moment, _place: int, job: Job) -> Turn:
    say = moment.say("not_needed_noted", job=job.label)
    dismiss = DismissJob(key=job.key, farmer_id=moment.someone().id)
    return settled(ended(moment), "the job is not needed", dismiss, say)


def _help(moment: Moment, _place: int, job: Job) -> Turn:
    return _help_with(moment, job)


def _unclear(moment: Moment, _place: int, job: Job) -> Turn:
    say = moment.say("nudge", name=Name(moment.someone().name), job=job.label)
    return missed(moment, "none of the four answers", say)


# The four answers to a nudge, and what is none of them.
finished: Final = _asked_after(_finished)
tomorrow: Final = _asked_after(_tomorrow)
not_needed: Final = _asked_after(_not_needed)
help_: Final = _asked_after(_help)
unclear: Final = _asked_after(_unclear)
