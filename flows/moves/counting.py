"""The living plants, counted anew: what water, weights a plant and forecasts go by from then on."""

from typing import Final

from flows.counting import PlantCount
from flows.edits import CountPlants
from flows.effects import Effect, SaveDone
from flows.moves.joining import MOST_PLANTS
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import State

RECOUNT: Final = "recount"
# A count of more than so many tenths of what is noted, or of less, is asked about: plants do not multiply by
# themselves, and who loses half of them knows it. Common practice, no source.
_MOST_TENTHS: Final = 11
_LEAST_TENTHS: Final = 5
_TENTHS: Final = 10


def counted(moment: Moment) -> Turn:
    """Take a count, or ask for it."""
    count = moment.expect(PlantCount).plants
    return ask(moment) if count is None else _judged(moment, count)


def ask(moment: Moment, *before: Effect) -> Turn:
    """Ask how many plants stand."""
    return asked(moment, "the plants are asked", State.PLANT_COUNT, *before, moment.say("count_ask"))


def take(moment: Moment) -> Turn:
    """Take the number of plants that the question was answered with."""
    count = moment.reading.slots.plants
    return (
        missed(moment, "no number of plants", moment.say("count_ask"))
        if count is None
        else _judged(moment, count)
    )


def _judged(moment: Moment, count: int) -> Turn:
    if not 1 <= count <= MOST_PLANTS:
        return ask(moment)
    before = moment.someone().plants
    if _LEAST_TENTHS * before <= _TENTHS * count <= _MOST_TENTHS * before:
        return _noted(moment, count)
    return asked(
        moment,
        "the count is far from what is noted, and asked about",
        State.COUNT_SURE,
        moment.say("count_sure", n=count, before=before),
        plants=count,
    )


def right(moment: Moment) -> Turn:
    """The count is as it was said."""
    return _noted(moment, moment.conversation.whole("plants") or moment.someone().plants)


def wrong(moment: Moment) -> Turn:
    """The count is not right: what was noted stays."""
    return settled(
        ended(moment), "the count is not kept", moment.say("count_kept", n=moment.someone().plants)
    )


def unclear(moment: Moment) -> Turn:
    """Ask once more: only a plain yes keeps such a count."""
    count = moment.conversation.whole("plants") or moment.someone().plants
    return missed(
        moment, "neither yes nor no", moment.say("count_sure", n=count, before=moment.someone().plants)
    )


def _noted(moment: Moment, count: int) -> Turn:
    farmer = moment.someone()
    done = tuple(SaveDone(key=job.key, farmer_id=farmer.id) for job in farmer.jobs if job.task == RECOUNT)
    kept = CountPlants(farmer_id=farmer.id, plot_id=farmer.plot_id, plants=count)
    return settled(ended(moment), f"{count} plants are kept", kept, *done, moment.say("count_noted", n=count))
