"""A second weight of a day: it is added, takes the place of the first, or is left out."""

from flows.moves.harvests import keep
from flows.moves.noting import day_of, pending
from flows.moves.turn import Moment, Turn, ended, missed, settled
from flows.weighed import ReplaceDay, SaveHarvest


def unclear(moment: Moment) -> Turn:
    """Ask once more what to do with a second weight of a day."""
    return missed(moment, "none of the three ways", moment.say("choose_1_2_3"))


def add(moment: Moment) -> Turn:
    """Both weights of the day count."""
    grams = pending(moment)
    return keep(ended(moment), grams, day_of(moment)) if grams else leave(moment)


def replace_day(moment: Moment) -> Turn:
    """The second weight of the day counts instead of the first."""
    grams, on = pending(moment), day_of(moment)
    if grams:
        return keep(ended(moment), grams, on, replaces=True)
    # The farmer has just chosen nothing over something: that needs no second question.
    farmer = moment.someone()
    save = SaveHarvest(id=moment.facts.new_id, farmer_id=farmer.id, plot_id=farmer.plot_id, grams=0, on=on)
    say = moment.say("zero_noted", date=on)
    return settled(
        ended(moment), "nothing was picked after all", save, ReplaceDay(id=save.id, farmer_id=farmer.id), say
    )


def leave(moment: Moment) -> Turn:
    """The first weight of the day stands."""
    return settled(ended(moment), "the first weight stands", moment.say("harvest_left"))
