"""The conversation as a table: (open question, what was understood) -> move.

Rules of this table:

* A question takes only what its row in ANSWERS has; what is absent there is no answer to it, and is met by COMMANDS
  or LOOSE, which together know every kind of input: no text is ever an error.
* COMMANDS hold whatever the open question is: stopping, emergencies and every word with a meaning of its own.
* ANSWERS (`flows.answers`) belong to one question. Bare numbers, yes and no stand only here and in LOOSE.
* LOOSE says what is done with a text when its question has no row for it.
* A row that needs a farmer is asked "for whom?" first where the phone speaks for several; one that needs the
  pending farmer is about the person who was asked for consent. What is kept of them concerns those, too, who have
  stopped.
"""

from typing import Final

from flows.alarms import Distress, Emergency
from flows.answers import ANSWERS
from flows.collecting import Estimate
from flows.counting import PlantCount
from flows.inputs import (
    Ask,
    Cancel,
    Done,
    Harvest,
    Help,
    Input,
    Jobs,
    Join,
    NeedHelp,
    No,
    NotYet,
    Number,
    Stop,
    Total,
    Understood,
    Undo,
    Words,
    Yes,
)
from flows.keeping import Fresh
from flows.moves import (
    alerts,
    baskets,
    collecting,
    correcting,
    costs,
    counting,
    details,
    general,
    harvests,
    jobs,
    keeping,
    market,
    nudges,
    officers,
    records,
    sales,
    sprays,
    vessels,
    water,
    wishes,
)
from flows.orders import Basket, Counts, Warn
from flows.remarks import Correct, Details, Greeting
from flows.rows import About, Row
from flows.spraying import Sprayed
from flows.states import State
from flows.trading import Cost, Price, Sold, Year
from flows.vessels import Filled, VesselTold
from flows.watering import Rain, Water
from flows.wishes import Alerts, Days, Language, Pause, Records, Who, WrongNumber

_farmer = About.FARMER

COMMANDS: Final[dict[type[Input], Row]] = {
    Emergency: Row(general.emergency),
    Distress: Row(general.distress),
    Stop: Row(general.stop),
    Cancel: Row(general.cancel),
    Help: Row(general.help_),
    Who: Row(wishes.who),
    WrongNumber: Row(records.wrong_number),
    Alerts: Row(alerts.choose),
    Join: Row(officers.join, resumes=True),
    Counts: Row(officers.counts),
    Warn: Row(officers.warn),
    Basket: Row(baskets.basket),
    Undo: Row(general.undo),
    Ask: Row(general.ask),
    # A report or a question says nothing of wanting jobs again: only JOIN and JOBS end a pause before its day.
    Harvest: Row(harvests.harvest, _farmer),
    Filled: Row(vessels.filled, _farmer),
    VesselTold: Row(vessels.told, _farmer),
    Estimate: Row(collecting.estimate, _farmer),
    Sprayed: Row(sprays.sprayed, _farmer),
    Done: Row(jobs.done, _farmer),
    NotYet: Row(nudges.not_yet, _farmer),
    NeedHelp: Row(nudges.need_help, _farmer),
    Jobs: Row(jobs.jobs, _farmer, resumes=True),
    Fresh: Row(keeping.fresh, _farmer),
    Total: Row(general.total, _farmer),
    Water: Row(water.water, _farmer),
    Rain: Row(water.rain, _farmer),
    Sold: Row(sales.sold, _farmer),
    Cost: Row(costs.spent, _farmer),
    Price: Row(market.prices, _farmer),
    Year: Row(market.year, _farmer),
    PlantCount: Row(counting.counted, _farmer),
    Language: Row(wishes.language, _farmer),
    Days: Row(wishes.days, _farmer),
    Records: Row(records.records, About.KNOWN),
    Pause: Row(wishes.pause, _farmer),
    Details: Row(details.details, _farmer),
    Correct: Row(correcting.correct),
    Greeting: Row(general.greeting),
}

LOOSE: Final[dict[type[Input], Row]] = {
    Number: Row(harvests.bare_number, _farmer),
    Yes: Row(general.silence),
    No: Row(general.silence),
    Understood: Row(general.silence),
    Words: Row(general.words),
}


def row(state: State, understood: type[Input]) -> Row:
    """Return the row for an input in a state."""
    return ANSWERS[state].get(understood) or COMMANDS.get(understood) or LOOSE[understood]
