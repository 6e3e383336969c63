"""What is kept of a farmer: to see it, to have it removed, and a number that has changed hands.

What takes something away is asked about in a text that names it, so that nobody can do it by slipping a word past
the farmer, nor by sending in the farmer's name: the answer comes from the phone the question went to.
"""

from flows.effects import Erase, Unlink
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import IDLE, State
from flows.wording import FullDate, Grams, Name, of_district


def records(moment: Moment) -> Turn:
    """Ask whether to show what is kept, or to remove it."""
    return asked(moment, "see or remove is asked", State.RECORDS, moment.say("records_ask"))


def unclear(moment: Moment) -> Turn:
    """Ask once more: see or remove."""
    return missed(moment, "neither 1 nor 2", moment.say("records_ask"))


def show(moment: Moment) -> Turn:
    """Say what is kept."""
    farmer = moment.someone()
    say = moment.say(
        "records_shown",
        name=Name(farmer.name),
        district=of_district(farmer.district),
        n=farmer.plants,
        date=FullDate(farmer.planted_on),
        total=Grams(farmer.weights.total),
    )
    return settled(ended(moment), "what is kept is told", say)


def ask_erase(moment: Moment) -> Turn:
    """Ask before anything is removed, and name what would go."""
    return asked(moment, "removing is asked about", State.ERASE, moment.say("erase_ask"))


def erase(moment: Moment) -> Turn:
    """The farmer said yes to what would go: it goes now."""
    effect, say = Erase(farmer_id=moment.someone().id), moment.say("erased")
    return settled(ended(moment), "the farmer is erased", effect, say)


def keep(moment: Moment) -> Turn:
    """Nothing is removed."""
    return settled(ended(moment), "nothing is removed", moment.say("kept"))


def erase_unclear(moment: Moment) -> Turn:
    """Ask once more: only a plain yes removes anything."""
    return missed(moment, "neither yes nor no", moment.say("erase_ask"))


def wrong_number(moment: Moment) -> Turn:
    """Ask whether the number has changed hands; nothing of the farmer is named to whoever that may be."""
    if not moment.facts.farmers:
        return settled(moment, "the number speaks for nobody", moment.say("wrong_number_noted"))
    return asked(
        moment, "a changed number is asked about", State.WRONG_NUMBER, moment.say("wrong_number_ask")
    )


def unlink(moment: Moment) -> Turn:
    """The number has changed hands: it speaks for nobody any more, and an officer learns of it."""
    note, say = moment.note(moment.text), moment.say("wrong_number_noted")
    return Turn(conversation=IDLE, effects=(note, Unlink(), say), why="the number has changed hands")


def still_theirs(moment: Moment) -> Turn:
    """The number is the farmer's still."""
    return settled(ended(moment), "the number is theirs", moment.say("wrong_number_kept"))


def unlink_unclear(moment: Moment) -> Turn:
    """Ask once more: only a plain yes cuts the number off."""
    return missed(moment, "neither yes nor no", moment.say("wrong_number_ask"))
