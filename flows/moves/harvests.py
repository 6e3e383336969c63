"""Weights: what was picked is kept, answered with the total, and asked about where it may be a slip."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from flows.effects import CountHarvest, Effect, SaveHarvest, Say, VoidDay, VoidHarvest
from flows.inputs import Harvest, Number, Unit
from flows.moves.general import offer_menu
from flows.moves.turn import Moment, Turn, asked, missed, settled
from flows.plausible import Doubt, Verdict, judge
from flows.states import Plain, State
from flows.wording import Grams, Name

OLDEST = timedelta(days=30)
# A bare number up to here may as well be a job's number; without an open list it is not guessed at.
LARGEST_PLACE = 9
_GRAMS_IN = {Unit.GRAM: Decimal(1), Unit.KILO: Decimal(1000), None: Decimal(1000)}
_HEAVIEST = Decimal(100_000_000)


def harvest(moment: Moment) -> Turn:
    """Take a weight reported with the word for it."""
    report = moment.expect(Harvest)
    today = moment.facts.on
    on = report.on or today
    if on > today:
        return settled(moment, "the day is still ahead", moment.say("harvest_future"))
    if on < today - OLDEST:
        return settled(moment, "the day is too long ago", moment.say("harvest_old"))
    if report.grams is None or report.extra:
        return ask_kilos(moment, on)
    return _take(moment, report.grams, on, _dropping_open_doubt(moment))


def _dropping_open_doubt(moment: Moment) -> tuple[Effect, ...]:
    """A weight texted while another is in question replaces it."""
    doubtful = moment.conversation.whole("harvest")
    return (VoidHarvest(id=doubtful),) if doubtful is not None else ()


def ask_kilos(moment: Moment, on: date | None = None, *before: Effect) -> Turn:
    """Ask how many kilos there were."""
    day = (on or moment.facts.on).isoformat()
    return asked(moment, "the weight is asked for", State.KILOS, *before, moment.say("ask_kilos"), on=day)


def take_kilos(moment: Moment) -> Turn:
    """Take the answer to "how many kilos?"."""
    grams = _grams(moment.input) if isinstance(moment.input, Number) else None
    if grams is None and moment.reading.slots.number is not None:
        grams = _grams(Number(value=moment.reading.slots.number))
    if grams is None:
        return missed(moment, "no weight found", moment.say("ask_kilos"))
    return _take(moment, grams, _day(moment), ())


def bare_number(moment: Moment) -> Turn:
    """Take a number that came without any word: a weight if it says so, else it is asked about."""
    number = moment.expect(Number)
    grams = _grams(number)
    choice = moment.choice()
    if grams is None or (choice is not None and choice <= LARGEST_PLACE):
        return offer_menu(moment, "a number without a question")
    if number.unit is not None:
        return _take(moment, grams, moment.facts.on, ())
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
    return _take(moment, moment.conversation.whole("grams") or 0, _day(moment), ())


def bare_weight_number(moment: Moment) -> Turn:
    """Take 1 for yes and 2 for no."""
    move = {1: bare_weight_yes, 2: bare_weight_no}.get(moment.choice() or 0)
    kg = Grams(moment.conversation.whole("grams") or 0)
    return move(moment) if move else missed(moment, "neither 1 nor 2", moment.say("bare_weight", kg=kg))


def bare_weight_no(moment: Moment) -> Turn:
    """The bare number was something else."""
    return settled(moment, "it was no weight", moment.say("harvest_dropped"))


def _take(moment: Moment, grams: int, on: date, before: tuple[Effect, ...]) -> Turn:
    """Keep a weight for a day: ask first where the day has one already or the weight may be a slip."""
    farmer = moment.someone()
    same_day = farmer.weights.by_day.get(on)
    if same_day and grams:
        return asked(
            moment,
            "the day has a weight already",
            State.AGAIN,
            *before,
            moment.say(
                "harvest_again",
                kg_old=Grams(same_day),
                kg=Grams(grams),
                kg_sum=Grams(same_day + grams),
                date=on,
            ),
            grams=grams,
            on=on.isoformat(),
        )
    return _keep(moment, grams, on, before)


def _keep(moment: Moment, grams: int, on: date, before: tuple[Effect, ...]) -> Turn:
    farmer = moment.someone()
    verdict = judge(grams, farmer.plants, farmer.weights)
    save = SaveHarvest(
        id=moment.facts.new_id,
        farmer_id=farmer.id,
        plot_id=farmer.plot_id,
        grams=grams,
        on=on,
        in_question=verdict.doubt is not Doubt.NONE,
    )
    if verdict.doubt is Doubt.NONE:
        return settled(moment, "the weight is kept", *before, save, _noted(moment, grams, on))
    return _doubt(moment, save, verdict, before)


def _doubt(moment: Moment, save: SaveHarvest, verdict: Verdict, before: tuple[Effect, ...]) -> Turn:
    """Keep the weight in question, outside all totals, and ask."""
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
    )


def doubt_yes(moment: Moment) -> Turn:
    """The weight in question is right as it was texted."""
    return _settle(moment, 1)


def doubt_no(moment: Moment) -> Turn:
    """The weight in question is wrong."""
    doubtful = moment.conversation.whole("harvest") or 0
    return settled(moment, "the weight was a slip", VoidHarvest(id=doubtful), moment.say("harvest_dropped"))


def doubt_number(moment: Moment) -> Turn:
    """Take the number of one of the weights offered, or the number after them for none."""
    return _settle(moment, moment.choice() or 0)


def _settle(moment: Moment, choice: int) -> Turn:
    choices = moment.conversation.data.get("choices")
    offered = [grams for grams in choices if isinstance(grams, int)] if isinstance(choices, list) else []
    if choice == len(offered) + 1:
        return doubt_no(moment)
    if not 1 <= choice <= len(offered):
        return missed(moment, "none of the weights offered", moment.say("harvest_choose"))
    grams, on = offered[choice - 1], _day(moment)
    count = CountHarvest(id=moment.conversation.whole("harvest") or 0, grams=grams)
    say = _noted(moment, grams, on) if grams else moment.say("zero_noted", date=on)
    return settled(moment, "the farmer chose the weight", count, say)


def again(moment: Moment) -> Turn:
    """A day has two weights: 1 adds, 2 replaces, 3 leaves the first."""
    move = {1: _add, 2: _replace, 3: _leave}.get(moment.choice() or 0)
    return move(moment) if move else missed(moment, "none of the three ways", moment.say("choose_1_2_3"))


def _add(moment: Moment) -> Turn:
    return _keep(moment, moment.conversation.whole("grams") or 0, _day(moment), ())


def _replace(moment: Moment) -> Turn:
    farmer, on = moment.someone(), _day(moment)
    old = farmer.weights.by_day.get(on, 0)
    weights = replace(farmer.weights, total=farmer.weights.total - old)
    without = replace(moment, farmer=replace(farmer, weights=weights))
    void = VoidDay(plot_id=farmer.plot_id, on=on)
    return _keep(without, moment.conversation.whole("grams") or 0, on, (void,))


def _leave(moment: Moment) -> Turn:
    return settled(moment, "the first weight stands", moment.say("harvest_left"))


def _noted(moment: Moment, grams: int, on: date) -> Say:
    """Say what was kept and what it adds up to."""
    farmer = moment.someone()
    weights = farmer.weights
    total = Grams(weights.total + grams)
    name = Name(farmer.name)
    if weights.first_on is None or weights.last is None:
        return moment.say("harvest_noted_first", name=name, kg=Grams(grams), date=on)
    return moment.say(
        "harvest_noted",
        name=name,
        kg=Grams(grams),
        date=on,
        total=total,
        date_first=min(weights.first_on, on),
        kg_last=Grams(weights.last),
    )


def _day(moment: Moment) -> date:
    kept = moment.conversation.text("on")
    return date.fromisoformat(kept) if kept else moment.facts.on


def _grams(number: Number) -> int | None:
    """Return whole grams, or None where the number can be no weight."""
    grams = number.value * _GRAMS_IN[number.unit]
    return int(grams.to_integral_value()) if 0 <= grams < _HEAVIEST else None
