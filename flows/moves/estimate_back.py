"""Taking back what was said to come to a collection."""

from flows.collecting import VoidEstimate
from flows.facts import Saved
from flows.moves.turn import Moment, Turn, settled
from flows.wording import Grams


def undo_estimate(moment: Moment, saved: Saved) -> Turn:
    """Take back what was said to come."""
    say = moment.say("undone_estimate", kg=Grams(saved.grams), date=saved.on)
    void = VoidEstimate(id=saved.id, farmer_id=saved.farmer_id)
    return settled(moment, "the last estimate is taken back", void, say)
