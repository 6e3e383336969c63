"""Weights: what was picked is kept, answered with the total, and asked about where it may be a slip."""

from datetime import date, timedelta
from typing import Final

from flows.effects import Effect
from flows.inputs import Harvest, Number
from flows.moves.days_kept import DaysKept
from flows.moves.doubts import ask_about, ask_which
from flows.moves.general import offer_menu
from flows.moves.noting import day_of, noted, pending
from flows.moves.readings import HEAVIEST, likeliest, only_likely
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.plausible import Doubt, judge
from flows.spraying import held_on
from flows.states import State
from flows.weighed import ReplaceDay, SaveHarvest, VoidHarvest
from flows.wording import Grams, Name

OLDEST: Final = timedelta(days=30)
# A bare number up to here may as well be a job's number; without an open list it is not guessed at.
LARGEST_PLACE: Final = 9
# Questions that any weight answers, whatever day it is of.
_WAITS_FOR_ANY: Final = frozenset({State.KILOS, State.BARE_WEIGHT})
_DAYS: Final = DaysKept(oldest=OLDEST, vague="harvest_no_day", ahead="harvest_future", old="harvest_old")


def harvest(moment: Moment) -> Turn:
    """Take a weight reported with the word for it."""
    report = moment.expect(Harvest)
    today = moment.facts.on
    if report.second is not None:
        return _take_both(moment, report, report.second)
    on = report.on or today
    refused = _DAYS.refused(on, today, vague=report.vague)
    if refused:
        why, text_id = refused
        return settled(moment, why, moment.say(text_id))
    if report.grams is None or report.extra or report.grams >= HEAVIEST:
        return ask_kilos(moment, on)
    replaced = _open_doubt_of(moment, on)
    here = ended(moment) if replaced or moment.conversation.state in _WAITS_FOR_ANY else moment
    # A hundred tonnes is no reading of anything.
    other = report.other if report.other is not None and report.other < HEAVIEST else None
    grams = only_likely(moment, on, report.grams, other)
    if grams is not None:
        return take(here, grams, on, replaced)
    if moment.someone().weights.by_day.get(on) is not None:
        # The day has a weight already, and two questions would be mixed up.
        return ask_kilos(here, on, *replaced)
    return ask_which(here, report, on, replaced)


def _take_both(moment: Moment, report: Harvest, second: tuple[int, date]) -> Turn:
    """Keep two weights of two days at once, where neither has to be asked about."""
    both = ((report.grams or 0, report.on or moment.facts.on), second)
    if any(_has_to_be_asked(moment, grams, on) for grams, on in both):
        return settled(moment, "one of two weights has to be asked about", moment.say("harvest_one_by_one"))
    farmer, facts = moment.someone(), moment.facts
    saves = [
        SaveHarvest(id=id_, farmer_id=farmer.id, plot_id=farmer.plot_id, grams=grams, on=on)
        for id_, (grams, on) in zip((facts.new_id, facts.next_id), both, strict=True)
    ]
    here = ended(moment) if moment.conversation.state in _WAITS_FOR_ANY else moment
    say = moment.say(
        "harvest_noted_two",
        name=Name(farmer.name),
        kg_1=Grams(both[0][0]),
        day_1=both[0][1],
        kg_2=Grams(both[1][0]),
        day_2=both[1][1],
        total=Grams(farmer.weights.total + both[0][0] + both[1][0]),
    )
    return settled(here, "two weights are kept", *saves, say)


def _has_to_be_asked(moment: Moment, grams: int, on: date) -> bool:
    farmer = moment.someone()
    verdict = judge(grams, farmer.plants, farmer.weights, age=(on - farmer.planted_on).days)
    old = on < moment.facts.on - OLDEST
    # Of fruit picked after a spray more has to be said than one text has room for.
    held = held_on(farmer.sprays, on) is not None
    return old or held or on in farmer.weights.by_day or verdict.doubt is not Doubt.NONE


def _open_doubt_of(moment: Moment, on: date) -> tuple[Effect, ...]:
    """Let go of a weight in question when the same day's weight is texted anew."""
    talk = moment.conversation
    doubtful = talk.whole("harvest")
    farmer_id = moment.someone().id
    same = talk.farmer_id == farmer_id and talk.text("on") == on.isoformat()
    return (VoidHarvest(id=doubtful, farmer_id=farmer_id),) if doubtful is not None and same else ()


def ask_kilos(moment: Moment, on: date | None = None, *before: Effect) -> Turn:
    """Ask how many kilos there were."""
    day = (on or moment.facts.on).isoformat()
    return asked(moment, "the weight is asked for", State.KILOS, *before, moment.say("ask_kilos"), on=day)


def take_kilos(moment: Moment) -> Turn:
    """Take the answer to "how many kilos?": a number and no other words, which may count anything."""
    on = day_of(moment)
    grams = likeliest(moment, moment.input, on) if isinstance(moment.input, Number) else None
    if grams is None:
        return missed(moment, "no weight found", moment.say("ask_kilos"))
    return take(ended(moment), grams, on)


def bare_number(moment: Moment) -> Turn:
    """Take a number that came without any word: a weight if it says so, else it is asked about."""
    number = moment.expect(Number)
    choice = moment.choice()
    if choice is not None and choice <= LARGEST_PLACE:
        return offer_menu(moment, "a number without a question")
    grams = likeliest(moment, number, moment.facts.on)
    if grams is None:
        return offer_menu(moment, "a number that can be no weight")
    if number.unit is not None:
        return take(moment, grams, moment.facts.on)
    return asked(
        moment,
        "a number that may be a weight",
        State.BARE_WEIGHT,
        moment.say("bare_weight", kg=Grams(grams)),
        grams=grams,
        on=moment.facts.on.isoformat(),
    )


def bare_weight_yes(moment: Moment) -> Turn:
    """The bare number was today's weight."""
    return take(ended(moment), pending(moment), day_of(moment))


def bare_weight_unclear(moment: Moment) -> Turn:
    """Ask once more whether the bare number was a weight."""
    return missed(moment, "neither 1 nor 2", moment.say("bare_weight", kg=Grams(pending(moment))))


def bare_weight_no(moment: Moment) -> Turn:
    """The bare number was something else."""
    return settled(ended(moment), "it was no weight", moment.say("harvest_dropped"))


def take(moment: Moment, grams: int, on: date, before: tuple[Effect, ...] = ()) -> Turn:
    """Keep a weight for a day: ask first where the day has one already or the weight may be a slip."""
    same_day = moment.someone().weights.by_day.get(on)
    if same_day is None:
        return keep(moment, grams, on, before)
    say = moment.say(
        "harvest_again",
        kg_old=Grams(same_day),
        kg=Grams(grams),
        kg_sum=Grams(same_day + grams),
        date=on,
    )
    why = "the day has a weight already"
    return asked(moment, why, State.AGAIN, *before, say, grams=grams, on=on.isoformat())


def keep(
    moment: Moment, grams: int, on: date, before: tuple[Effect, ...] = (), *, replaces: bool = False
) -> Turn:
    """Keep a weight, in question where it may be a slip; with `replaces` the day's other weights give way to it."""
    farmer = moment.someone()
    verdict = judge(grams, farmer.plants, farmer.weights, age=(on - farmer.planted_on).days)
    save = SaveHarvest(
        id=moment.facts.new_id,
        farmer_id=farmer.id,
        plot_id=farmer.plot_id,
        grams=grams,
        on=on,
        in_question=verdict.doubt is not Doubt.NONE,
    )
    if verdict.doubt is not Doubt.NONE:
        return ask_about(moment, save, verdict, before, replaces=replaces)
    instead = (ReplaceDay(id=save.id, farmer_id=farmer.id),) if replaces else ()
    say = noted(moment, grams, on, replaces=replaces)
    return settled(moment, "the weight is kept", *before, save, *instead, say)
