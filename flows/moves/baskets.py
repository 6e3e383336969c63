"""A clerk's phone: what a farmer brought, by the farmer's number on the list of the day.

From any other phone these words mean nothing, as an officer's do. Whether the kilos can be right is known where they are
kept: the question comes from there, and its yes keeps them.
"""

from flows.moves import general
from flows.moves.turn import Moment, Turn, ended, missed, settled
from flows.orders import Basket, TakeBasket


def basket(moment: Moment) -> Turn:
    """Note what a farmer brought."""
    if moment.facts.clerk is None:
        return general.words(moment)
    told = moment.expect(Basket)
    if told.row is None or told.accepted is None or (told.rejected and told.reason is None):
        return settled(moment, "a basket without its number, kilos or reason", moment.say("basket_how"))
    take = TakeBasket(row=told.row, accepted=told.accepted, rejected=told.rejected, reason=told.reason)
    return settled(moment, "a basket is to be kept", take)


def told_anew(moment: Moment) -> Turn:
    """A basket that is told while one is in question takes its place."""
    return basket(ended(moment))


def right(moment: Moment) -> Turn:
    """The clerk said that it is right; a clerk no more, they keep nothing."""
    if moment.facts.clerk is None:
        return wrong(moment)
    talk = moment.conversation
    take = TakeBasket(
        row=talk.whole("row") or 0,
        accepted=talk.whole("accepted") or 0,
        rejected=talk.whole("rejected") or 0,
        reason=talk.text("reason"),
        sure=True,
    )
    return settled(ended(moment), "the basket is right", take)


def wrong(moment: Moment) -> Turn:
    """Nothing is kept."""
    say = moment.say("basket_left", row=moment.conversation.whole("row") or 0)
    return settled(ended(moment), "the basket is dropped", say)


def unclear(moment: Moment) -> Turn:
    """Ask for a plain yes or no."""
    return missed(moment, "neither yes nor no", moment.say("basket_unclear"))
