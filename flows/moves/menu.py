"""The menu that is offered when a text could not be understood."""

from flows.inputs import Done
from flows.moves import general, harvests, jobs
from flows.moves.turn import Moment, Turn, ended, missed, with_input


def weight(moment: Moment) -> Turn:
    """A weight is to be told: ask how many kilos."""
    return harvests.ask_kilos(ended(moment))


def job_done(moment: Moment) -> Turn:
    """A job is finished: as if DONE had been texted."""
    return jobs.done(with_input(ended(moment), Done()))


def question(moment: Moment) -> Turn:
    """Something is to be asked: ask what."""
    return general.ask_what(ended(moment))


def help_(moment: Moment) -> Turn:
    """Say which words there are."""
    return general.help_(ended(moment))


def unclear(moment: Moment) -> Turn:
    """Offer the menu once more."""
    return missed(moment, "none of the four", moment.say("not_understood", text=general.quoted(moment)))
