"""The menu that is offered when a text could not be understood."""

from dataclasses import replace

from flows.inputs import Done
from flows.moves import general, harvests, jobs
from flows.moves.turn import Moment, Turn, ended, missed


def choose(moment: Moment) -> Turn:
    """Take 1 a weight, 2 a job done, 3 a question, 4 help."""
    closed = ended(moment)
    moves = {
        1: lambda: harvests.ask_kilos(closed),
        2: lambda: jobs.done(replace(closed, reading=replace(closed.reading, input=Done()))),
        3: lambda: general.ask_what(closed),
        4: lambda: general.help_(closed),
    }
    move = moves.get(moment.choice() or 0)
    if move:
        return move()
    return missed(moment, "none of the four", moment.say("not_understood", text=general.quoted(moment)))
