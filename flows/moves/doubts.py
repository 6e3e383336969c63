"""A weight that may be a slip: kept in question, outside all totals, until the farmer has said which is right."""

from datetime import date

from flows.effects import Effect
from flows.inputs import Harvest, Number, Unit
from flows.moves.noting import day_of, noted
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.plausible import Doubt, Verdict
from flows.states import Plain, State
from flows.weighed import CountHarvest, ReplaceDay, SaveHarvest, VoidHarvest
from flows.wording import Grams


def ask_about(
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


def ask_which(moment: Moment, report: Harvest, on: date, before: tuple[Effect, ...]) -> Turn:
    """Keep a weight that can be read in two ways in question, and ask which it is."""
    farmer, first, other = moment.someone(), report.grams or 0, report.other or 0
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


def right(moment: Moment) -> Turn:
    """The weight in question is right as it was texted."""
    return settle(moment, 1)


def wrong(moment: Moment) -> Turn:
    """The weight in question is wrong."""
    void = VoidHarvest(id=moment.conversation.whole("harvest") or 0, farmer_id=moment.someone().id)
    return settled(ended(moment), "the weight was a slip", void, moment.say("harvest_dropped"))


def unclear(moment: Moment) -> Turn:
    """Take one of the weights offered by itself; anything else is asked again."""
    said = moment.input
    if isinstance(said, Number) and said.unit is not Unit.GRAM:
        for place, grams in enumerate(_offered(moment), start=1):
            if said.value * 1000 == grams:
                return settle(moment, place)
    return missed(moment, "none of the weights offered", moment.say("harvest_choose"))


def settle(moment: Moment, choice: int) -> Turn:
    """Take the weight offered at a place, or at the place after them none."""
    talk, offered = moment.conversation, _offered(moment)
    if choice == len(offered) + 1:
        return wrong(moment)
    if not 1 <= choice <= len(offered):
        return unclear(moment)
    grams, on, doubtful = offered[choice - 1], day_of(moment), talk.whole("harvest") or 0
    farmer_id, replaces = moment.someone().id, bool(talk.data.get("replaces"))
    instead = (ReplaceDay(id=doubtful, farmer_id=farmer_id),) if replaces else ()
    say = noted(moment, grams, on, replaces=replaces) if grams else moment.say("zero_noted", date=on)
    count = CountHarvest(id=doubtful, farmer_id=farmer_id, grams=grams)
    return settled(ended(moment), "the farmer chose the weight", count, *instead, say)


def _offered(moment: Moment) -> list[int]:
    """Return the weights that were offered, in grams."""
    choices = moment.conversation.data.get("choices")
    return [grams for grams in choices if isinstance(grams, int)] if isinstance(choices, list) else []
