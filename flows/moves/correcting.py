"""The last weight put right: "no, it is 8.5, not 7.5"."""

from dataclasses import replace

from flows.facts import Farmer, Saved, SavedKind
from flows.moves.general import has_stopped, no_active_farmer
from flows.moves.harvests import take
from flows.moves.noting import day_of, picked_instead
from flows.moves.turn import Moment, Turn, ended, settled
from flows.remarks import Correct
from flows.weighed import VoidHarvest


def correct(moment: Moment) -> Turn:
    """Take the last weight back and keep the right one for its day, where it is clear which one is meant."""
    if has_stopped(moment):
        return no_active_farmer(moment)
    wish, saved = moment.expect(Correct), moment.facts.saved
    farmer = moment.facts.farmer(saved.farmer_id) if saved else None
    if saved is None or farmer is None or saved.kind is not SavedKind.HARVEST:
        return settled(moment, "no weight to put right", moment.say("correct_none"))
    if wish.instead is not None and wish.instead != saved.grams:
        return settled(moment, "another weight was saved last", moment.say("correct_none"))
    here = replace(moment, farmer=_without(farmer, saved))
    about_it = moment.conversation.whole("harvest") == saved.id
    void = VoidHarvest(id=saved.id, farmer_id=farmer.id)
    return take(ended(here) if about_it else here, wish.grams, saved.on, (void,))


def answer(moment: Moment) -> Turn:
    """Take what is right for the weight that is asked about, unless the last one that was kept is named."""
    wish, saved = moment.expect(Correct), moment.facts.saved
    kept = saved.grams if saved and saved.kind is SavedKind.HARVEST else None
    open_ = moment.conversation.whole("grams")
    if wish.instead is not None and wish.instead == kept != open_:
        return correct(moment)
    return take(ended(moment), wish.grams, day_of(moment))


def _without(farmer: Farmer, saved: Saved) -> Farmer:
    """Return the farmer as if the saved weight had never been texted."""
    counted = 0 if saved.in_question else saved.grams
    left = farmer.weights.by_day.get(saved.on, 0) - counted + saved.replaced
    return picked_instead(farmer, saved.on, left)
