"""What the service would make of a text: read as it comes in, one step of the conversation, and nothing kept.

The farmer is one who has joined, with no question open and nothing told before, whose plants bear.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.collecting import Estimate
from flows.effects import Say
from flows.engine import step
from flows.facts import Facts, Farmer, FarmerState, Tongue
from flows.inputs import Harvest, Number
from flows.moves.turn import Turn
from flows.reader import Reading
from flows.reader.amounts import Thing
from flows.reader.scan import scan
from flows.states import IDLE
from flows.trading import Purse, YearTold
from flows.vessels import Filled
from flows.watering import Sky, WaterToday, Wet
from service.use_cases.answering import read_text
from service.use_cases.heard import Heard, from_effects, from_input, in_containers
from service.use_cases.receiving import clean
from service.use_cases.tools import Tools

# Invented, and no word of any language here: a name in a text says whose it is.
_NAME: Final = "Tezindu"
_AGE: Final = timedelta(days=250)
_NOTHING_SOLD: Final = Purse(
    quotes=(),
    kilo_prices=(),
    year=YearTold(picked=0, plants=0, sold=0, money_in=0, money_out=0, months=0),
)
# Some figures, so that an answer about water can be worded: they change nothing of how a text is read.
_WATER: Final = WaterToday(
    each_ml=250.0,
    plot_ml=100_000.0,
    least_ml=50_000.0,
    can_ml=10_000,
    drip_ml_h=None,
    sky=Sky.USUAL,
    highest_c=24,
    elevation_m=1650,
    bare=False,
    beds=False,
    wet=Wet.DRY,
    rain_tenths=0,
)
# A weight that is neither kept nor asked about was none: of a day ahead, or of no collection.
_KEPT_OR_ASKED: Final = (Harvest, Number, Estimate)


@dataclass(frozen=True, kw_only=True, slots=True)
class Tried:
    """What would become of a text.

    Attributes:
        readings: what it was heard to say; what may be meant, where it is asked about.
        ask: the question that goes back, None where none does: then what was heard is kept.
        why: how it was read, step by step.
    """

    readings: tuple[Heard, ...]
    ask: str | None
    why: tuple[str, ...]


def try_text(tools: Tools, text: str, *, language: str | None, on: date, plants: int) -> Tried:
    """Return what the service would make of a text that a farmer sends.

    Args:
        tools: the programme's words and figures.
        text: as it is typed.
        language: the farmer's; the programme's where it is none that we speak.
        on: the farmer's local day.
        plants: how many the farmer has.
    """
    spoken = language if language in tools.packs.languages else tools.programme.language
    facts = _facts(tools, language=spoken, on=on, plants=plants)
    typed = clean(text)
    reading = read_text(tools, facts, IDLE, typed, on)
    turn = step(IDLE, reading, typed, facts)
    return Tried(
        readings=_heard(tools, facts, reading, turn, typed),
        ask=_asked(tools, turn) if turn.asks else None,
        why=(*reading.why, turn.why),
    )


def _facts(tools: Tools, *, language: str, on: date, plants: int) -> Facts:
    farmer = Farmer(
        id=tools.ids.row(),
        name=_NAME,
        language=language,
        state=FarmerState.ACTIVE,
        plot_id=tools.ids.row(),
        plants=plants,
        planted_on=on - _AGE,
        purse=_NOTHING_SOLD,
        water=_WATER,
    )
    return Facts(
        on=on,
        service=tools.programme.name,
        districts=(),
        language=language,
        languages=tuple(Tongue(code=code, name=tools.packs.name(code)) for code in tools.packs.languages),
        farmers=(farmer,),
        emergency_number=tools.programme.emergency_number,
        longest_hold=tools.programme.longest_hold,
        currency=tools.programme.currency,
        new_id=tools.ids.row(),
        next_id=tools.ids.row(),
        code=tools.ids.code(),
    )


def _heard(tools: Tools, facts: Facts, reading: Reading, turn: Turn, text: str) -> tuple[Heard, ...]:
    kept = from_effects(turn.effects, facts.on, facts.currency.code)
    if kept:
        return kept
    said = reading.input
    if turn.asks and (isinstance(said, Filled) or (isinstance(said, Harvest) and said.grams is None)):
        counted = _counted(tools, facts, text, said.on or facts.on)
        if counted:
            return counted
    if not turn.asks and isinstance(reading.input, _KEPT_OR_ASKED):
        return (Heard(intent="none"),)
    return from_input(reading.input, facts.on) or (() if turn.asks else (Heard(intent="none"),))


def _counted(tools: Tools, facts: Facts, text: str, day: date) -> tuple[Heard, ...]:
    """Return what was picked in containers."""
    taken_apart = scan(text, tools.packs.lexicon(facts.language), facts.on)
    lexicon = taken_apart.lexicon
    return tuple(
        in_containers(amount.value, token.key, day)
        for amount in taken_apart.amounts
        if amount.thing is Thing.CONTAINERS
        for token in taken_apart.tokens[max(0, amount.start - 1) : amount.end + 1]
        if token.key in lexicon.containers
    )


def _asked(tools: Tools, turn: Turn) -> str:
    said = [effect for effect in turn.effects if isinstance(effect, Say)]
    return " ".join(tools.wording.write(say.phrase, say.language) for say in said)
