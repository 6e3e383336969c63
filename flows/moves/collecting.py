"""What a farmer will bring to the next collection: asked the evening before, told at any time, changed by telling anew.

It is no weight: nothing of it counts as picked. Under a spray's hold nothing is kept but that nothing will come.
"""

from dataclasses import replace
from typing import Final

from flows.collecting import Coming, Estimate, SaveEstimate
from flows.effects import Say
from flows.facts import FarmerState
from flows.inputs import Harvest, No, Number, Words
from flows.moves import harvests
from flows.moves.readings import HEAVIEST, likeliest
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.plausible import SLIP_PER_PLANT
from flows.spraying import held_on
from flows.states import State
from flows.wording import Grams, Name, Phrase

# The question that the word answers as well as a number does.
_ANSWERED: Final = frozenset({State.ESTIMATE})


def hour(coming: Coming) -> Phrase:
    """Return the hour at which a collection begins, for a text."""
    return Phrase(f"hour.{coming.hour}")


def estimate(moment: Moment) -> Turn:
    """Take what will be brought, told with the word for it."""
    report, coming = moment.expect(Estimate), moment.someone().coming
    if coming is None:
        return settled(moment, "no collection is known", moment.say("estimate_no_collection"))
    if report.grams is None or report.doubtful or report.on not in {None, coming.on}:
        return _ask(moment, coming)
    if moment.conversation.state not in _ANSWERED:
        return _take(moment, coming, report.grams)
    return _and_the_next(moment, coming, _take(ended(moment), coming, report.grams))


def answer(moment: Moment) -> Turn:
    """Take the answer to "how many kilos will you bring?"; once that collection has begun it is no answer any more."""
    coming = moment.someone().coming
    if coming is None or moment.conversation.text("on") != coming.on.isoformat():
        return _too_late(ended(moment))
    grams = _grams(moment, coming)
    if grams is None:
        return missed(moment, "no weight found", moment.say("estimate_ask", date=coming.on))
    if _is_much(moment, grams):
        return missed(moment, "more than the plants bear", _much(moment, coming, grams))
    return _and_the_next(moment, coming, _take(ended(moment), coming, grams))


def nothing_picked(moment: Moment) -> Turn:
    """Take "nothing is ripe" as the answer; a weight that was picked stays what it is."""
    return answer(moment) if moment.expect(Harvest).grams == 0 else harvests.harvest(moment)


def _grams(moment: Moment, coming: Coming) -> int | None:
    said = moment.input
    slots = moment.reading.slots
    if isinstance(said, No | Harvest) or slots.nothing:
        return 0
    if isinstance(said, Words):
        return slots.grams
    return likeliest(moment, said, coming.on) if isinstance(said, Number) else None


def _too_late(moment: Moment) -> Turn:
    """Take what comes after the collection has begun as what it is without that question."""
    if isinstance(moment.input, Number):
        return harvests.bare_number(moment)
    return settled(moment, "the question is over", moment.say("estimate_over"))


def _ask(moment: Moment, coming: Coming) -> Turn:
    say = moment.say("estimate_ask", date=coming.on)
    why = "what will be brought is asked for"
    return asked(moment, why, State.ESTIMATE, say, on=coming.on.isoformat())


def _is_much(moment: Moment, grams: int) -> bool:
    return grams >= HEAVIEST or grams > SLIP_PER_PLANT * moment.someone().plants


def _take(moment: Moment, coming: Coming, grams: int) -> Turn:
    farmer = moment.someone()
    name = Name(farmer.name)
    held = held_on(farmer.sprays, coming.on) if grams else None
    if held:
        say = moment.say("estimate_held", name=name, date=coming.on, date_free=held.pick_from)
        return settled(moment, "a spray holds picking back that day", say)
    if _is_much(moment, grams):
        why = "more than the plants bear"
        much = _much(moment, coming, grams)
        return asked(moment, why, State.ESTIMATE, much, on=coming.on.isoformat())
    save = SaveEstimate(id=moment.facts.new_id, farmer_id=farmer.id, on=coming.on, grams=grams)
    say = (
        moment.say(
            "estimate_noted",
            name=name,
            kg=Grams(grams),
            date=coming.on,
            time=hour(coming),
            where=coming.place,
        )
        if grams
        else moment.say("estimate_none_noted", name=name, date=coming.on)
    )
    return settled(moment, "what will be brought is kept", save, say)


def _and_the_next(moment: Moment, coming: Coming, turn: Turn) -> Turn:
    """Ask with the answer the next of those who share the phone: an evening has one text, which asked one of them."""
    others = (one for one in moment.facts.with_state(FarmerState.ACTIVE) if one.id != moment.someone().id)
    for one in others if turn.conversation.state not in _ANSWERED else ():
        theirs = one.coming
        asks = theirs is not None and theirs.on == coming.on and theirs.grams is None
        if theirs is None or not asks or one.paused or one.held_out or held_on(one.sprays, theirs.on):
            continue
        there = replace(ended(moment), farmer=one)
        where = there.say(
            "collection_ask", name=Name(one.name), date=theirs.on, time=hour(theirs), where=theirs.place
        )
        why = f"{turn.why}; the next on this phone is asked"
        return asked(there, why, State.ESTIMATE, *turn.effects, where, on=theirs.on.isoformat())
    return turn


def _much(moment: Moment, coming: Coming, grams: int) -> Say:
    farmer = moment.someone()
    return moment.say("estimate_much", kg=Grams(grams), n=farmer.plants, date=coming.on)
