"""Weights: what was picked is kept, answered with the total, and asked about where it may be a slip."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from flows.effects import CountHarvest, Effect, ReplaceDay, SaveHarvest, Say, VoidHarvest
from flows.facts import Farmer
from flows.inputs import Harvest, Number
from flows.moves.general import offer_menu
from flows.moves.readings import HEAVIEST, likeliest, only_likely
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.plausible import Doubt, Verdict, judge
from flows.states import Plain, State
from flows.wording import Grams, Name

OLDEST: Final = timedelta(days=30)
# A bare number up to here may as well be a job's number; without an open list it is not guessed at.
LARGEST_PLACE: Final = 9
# Questions that any weight answers, whatever day it is of.
_WAITS_FOR_ANY: Final = frozenset({State.KILOS, State.BARE_WEIGHT})


def harvest(moment: Moment) -> Turn:
    """Take a weight reported with the word for it."""
    report = moment.expect(Harvest)
    today = moment.facts.on
    on = report.on or today
    if on > today:
        return settled(moment, "the day is still ahead", moment.say("harvest_future"))
    if on < today - OLDEST:
        return settled(moment, "the day is too long ago", moment.say("harvest_old"))
    if report.grams is None or report.extra or report.grams >= HEAVIEST:
        return ask_kilos(moment, on)
    replaced = _open_doubt_of(moment, on)
    here = ended(moment) if replaced or moment.conversation.state in _WAITS_FOR_ANY else moment
    # A hundred tonnes is no reading of anything.
    other = report.other if report.other is not None and report.other < HEAVIEST else None
    grams = only_likely(moment, report.grams, other)
    return _take(here, grams, on, replaced) if grams is not None else _which(here, report, on, replaced)


def _open_doubt_of(moment: Moment, on: date) -> tuple[Effect, ...]:
    """Let go of a weight in question when the same day's weight is texted anew."""
    talk = moment.conversation
    doubtful = talk.whole("harvest")
    same = talk.farmer_id == moment.someone().id and talk.text("on") == on.isoformat()
    return (VoidHarvest(id=doubtful),) if doubtful is not None and same else ()


def ask_kilos(moment: Moment, on: date | None = None, *before: Effect) -> Turn:
    """Ask how many kilos there were."""
    day = (on or moment.facts.on).isoformat()
    return asked(moment, "the weight is asked for", State.KILOS, *before, moment.say("ask_kilos"), on=day)


def take_kilos(moment: Moment) -> Turn:
    """Take the answer to "how many kilos?": a number and no other words, which may count anything."""
    grams = likeliest(moment, moment.input) if isinstance(moment.input, Number) else None
    if grams is None:
        return missed(moment, "no weight found", moment.say("ask_kilos"))
    return _take(ended(moment), grams, _day(moment))


def bare_number(moment: Moment) -> Turn:
    """Take a number that came without any word: a weight if it says so, else it is asked about."""
    number = moment.expect(Number)
    choice = moment.choice()
    if choice is not None and choice <= LARGEST_PLACE:
        return offer_menu(moment, "a number without a question")
    grams = likeliest(moment, number)
    if grams is None:
        return offer_menu(moment, "a number that can be no weight")
    if number.unit is not None:
        return _take(moment, grams, moment.facts.on)
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
    return _take(ended(moment), _pending(moment), _day(moment))


def bare_weight_unclear(moment: Moment) -> Turn:
    """Ask once more whether the bare number was a weight."""
    return missed(moment, "neither 1 nor 2", moment.say("bare_weight", kg=Grams(_pending(moment))))


def bare_weight_no(moment: Moment) -> Turn:
    """The bare number was something else."""
    return settled(ended(moment), "it was no weight", moment.say("harvest_dropped"))


def _take(moment: Moment, grams: int, on: date, before: tuple[Effect, ...] = ()) -> Turn:
    """Keep a weight for a day: ask first where the day has one already or the weight may be a slip."""
    same_day = moment.someone().weights.by_day.get(on)
    if same_day is None:
        return _keep(moment, grams, on, before)
    say = moment.say(
        "harvest_again",
        kg_old=Grams(same_day),
        kg=Grams(grams),
        kg_sum=Grams(same_day + grams),
        date=on,
    )
    why = "the day has a weight already"
    return asked(moment, why, State.AGAIN, *before, say, grams=grams, on=on.isoformat())


def _keep(
    moment: Moment, grams: int, on: date, before: tuple[Effect, ...] = (), *, replaces: bool = False
) -> Turn:
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
        return _doubt(moment, save, verdict, before, replaces=replaces)
    instead = (ReplaceDay(id=save.id),) if replaces else ()
    say = _noted(moment, grams, on, replaces=replaces)
    return settled(moment, "the weight is kept", *before, save, *instead, say)


def _doubt(
    moment: Moment, save: SaveHarvest, verdict: Verdict, before: tuple[Effect, ...], *, replaces: bool
) -> Turn:
    """Keep the weight in question, outside all totals, and ask; what it would replace still counts."""
    kg, plants = Grams(save.grams), moment.someone().plants
    choices: list[Plain] = [save.grams, *verdict.instead]
    others = [Grams(other) for other in verdict.instead]
    says = {
        (Doubt.ZERO, 0): lambda: moment.say("zero_kg", date=save.on),
        (Doubt.UNUSUAL, 0): lambda: moment.say("unusual_kg", kg=kg, n=plants),
        (Doubt.SLIP, 1): lambda: moment.say("unusual_kg_slip_one", kg=kg, n=plants, kg_1=others[0]),
        (Doubt.SLIP, 2): lambda: moment.say(
            "unusual_kg_slip", kg=kg, n=plants, kg_1=others[0], kg_2=others[1]
        ),
        (Doubt.UNIT, 1): lambda: moment.say("which_kg", kg_1=kg, kg_2=others[0]),
    }
    states = {Doubt.ZERO: State.ZERO, Doubt.UNIT: State.WHICH_KG}
    return asked(
        moment,
        f"the weight is asked about: {verdict.doubt}",
        states.get(verdict.doubt, State.UNUSUAL),
        *before,
        save,
        says[verdict.doubt, len(others)](),
        harvest=save.id,
        choices=choices,
        on=save.on.isoformat(),
        replaces=replaces or None,
    )


def doubt_yes(moment: Moment) -> Turn:
    """The weight in question is right as it was texted."""
    return _settle(moment, 1)


def doubt_no(moment: Moment) -> Turn:
    """The weight in question is wrong."""
    void = VoidHarvest(id=moment.conversation.whole("harvest") or 0)
    return settled(ended(moment), "the weight was a slip", void, moment.say("harvest_dropped"))


def doubt_number(moment: Moment) -> Turn:
    """Take the number of one of the weights offered, or the number after them for none."""
    return _settle(moment, moment.choice() or 0)


def _settle(moment: Moment, choice: int) -> Turn:
    talk = moment.conversation
    choices = talk.data.get("choices")
    offered = [grams for grams in choices if isinstance(grams, int)] if isinstance(choices, list) else []
    if choice == len(offered) + 1:
        return doubt_no(moment)
    if not 1 <= choice <= len(offered):
        return missed(moment, "none of the weights offered", moment.say("harvest_choose"))
    grams, on, doubtful = offered[choice - 1], _day(moment), talk.whole("harvest") or 0
    replaces = bool(talk.data.get("replaces"))
    instead = (ReplaceDay(id=doubtful),) if replaces else ()
    say = _noted(moment, grams, on, replaces=replaces) if grams else moment.say("zero_noted", date=on)
    count = CountHarvest(id=doubtful, grams=grams)
    return settled(ended(moment), "the farmer chose the weight", count, *instead, say)


def again_unclear(moment: Moment) -> Turn:
    """Ask once more what to do with a second weight of a day."""
    return missed(moment, "none of the three ways", moment.say("choose_1_2_3"))


def add(moment: Moment) -> Turn:
    """Both weights of the day count."""
    grams = _pending(moment)
    return _keep(ended(moment), grams, _day(moment)) if grams else leave(moment)


def replace_day(moment: Moment) -> Turn:
    """The second weight of the day counts instead of the first."""
    grams, on = _pending(moment), _day(moment)
    if grams:
        return _keep(ended(moment), grams, on, replaces=True)
    # The farmer has just chosen nothing over something: that needs no second question.
    farmer = moment.someone()
    save = SaveHarvest(id=moment.facts.new_id, farmer_id=farmer.id, plot_id=farmer.plot_id, grams=0, on=on)
    say = moment.say("zero_noted", date=on)
    return settled(ended(moment), "nothing was picked after all", save, ReplaceDay(id=save.id), say)


def leave(moment: Moment) -> Turn:
    """The first weight of the day stands."""
    return settled(ended(moment), "the first weight stands", moment.say("harvest_left"))


def _noted(moment: Moment, grams: int, on: date, *, replaces: bool) -> Say:
    """Say what was kept and what it adds up to."""
    farmer = moment.someone()
    others = _without(farmer, on) if replaces else farmer
    weights, name = others.weights, Name(farmer.name)
    if weights.first_on is None:
        return moment.say("harvest_noted_first", name=name, kg=Grams(grams), date=on)
    total, first = Grams(weights.total + grams), min(weights.first_on, on)
    before = max((day for day in weights.by_day if day < on), default=None)
    if before is None:
        return moment.say(
            "harvest_noted_total", name=name, kg=Grams(grams), date=on, total=total, date_first=first
        )
    return moment.say(
        "harvest_noted",
        name=name,
        kg=Grams(grams),
        date=on,
        total=total,
        date_first=first,
        kg_last=Grams(weights.by_day[before]),
    )


def _without(farmer: Farmer, on: date) -> Farmer:
    """Return the farmer as if nothing had been picked on a day."""
    weights = farmer.weights
    days = {day: grams for day, grams in weights.by_day.items() if day != on}
    total = weights.total - weights.by_day.get(on, 0)
    first = min(days, default=None) if weights.first_on == on else weights.first_on
    return replace(farmer, weights=replace(weights, by_day=days, total=total, first_on=first))


def _pending(moment: Moment) -> int:
    return moment.conversation.whole("grams") or 0


def _day(moment: Moment) -> date:
    kept = moment.conversation.text("on")
    return date.fromisoformat(kept) if kept else moment.facts.on


def _which(moment: Moment, report: Harvest, on: date, before: tuple[Effect, ...]) -> Turn:
    """Keep a weight that can be read in two ways in question, and ask which it is."""
    farmer, first, other = moment.someone(), report.grams or 0, report.other or 0
    if farmer.weights.by_day.get(on) is not None:
        # The day has a weight already, and two questions would be mixed up.
        return ask_kilos(moment, on, *before)
    save = SaveHarvest(
        id=moment.facts.new_id,
        farmer_id=farmer.id,
        plot_id=farmer.plot_id,
        grams=first,
        on=on,
        in_question=True,
    )
    return asked(
        moment,
        "the digits can be read in two ways",
        State.WHICH_KG,
        *before,
        save,
        moment.say("which_kg", kg_1=Grams(first), kg_2=Grams(other)),
        harvest=save.id,
        choices=[first, other],
        on=on.isoformat(),
    )
