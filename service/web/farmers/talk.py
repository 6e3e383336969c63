"""What was said, either way, as the page tells it: how a text was read and why, and what became of ours."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from flows.alphabet import room
from service.core.kinds import NEVER_ARRIVED, MessageState
from service.core.model import InboundState
from service.db.queries.console_values import Said, Way
from service.web.words import INBOUND_STATES, KINDS, MESSAGE_STATES, full_day, kilos, worded

# What went wrong with a text, or may have: a person may want to know.
_TROUBLED: Final = frozenset(
    {
        *NEVER_ARRIVED,
        MessageState.IN_DOUBT,
        InboundState.CORRUPT,
        InboundState.LOOKED_AT,
    }
)

INTENTS: Final = {
    "alerts": "about warnings",
    "ask": "a question",
    "basket": "a clerk's basket",
    "cancel": "undo or stop",
    "correct": "a weight put right",
    "cost": "money spent",
    "counts": "an officer asking for the counts",
    "days": "about the days",
    "details": "correcting what is kept",
    "distress": "distress",
    "done": "a job done",
    "emergency": "an emergency",
    "fresh": "how long fruit keeps",
    "greeting": "a greeting or thanks",
    "filled": "a harvest in containers",
    "harvest": "a harvest",
    "help": "asking for help",
    "join": "joining",
    "jobs": "asking for the jobs",
    "language": "about the language",
    "need_help": "needing help with a job",
    "no": "no",
    "not_yet": "a job not done yet",
    "number": "a number",
    "pause": "a pause",
    "price": "asking for prices",
    "estimate": "what will come to the collection",
    "plant_count": "plants counted",
    "rain": "rain told",
    "records": "asking what is kept",
    "sold": "a sale",
    "sprayed": "a spray",
    "stop": "stop",
    "total": "asking for the total",
    "understood": "understood",
    "vessel_told": "what a container holds",
    "undo": "taking back",
    "warn": "an officer's warning",
    "water": "asking for the water",
    "who": "asking who texts",
    "words": "free words",
    "wrong_number": "a changed number",
    "year": "asking for the year in figures",
    "yes": "yes",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One text on the page.

    Attributes:
        incoming: whether the farmer said it.
        at: when.
        text: what was said.
        about: where it stands, and what it is if it is one of ours; empty for one of theirs that was read.
        notes: what the machine noted of it: how it was read and why, or what it cost and why it stands so.
        troubled: whether something is or may be wrong with it.
    """

    incoming: bool
    at: datetime
    text: str
    about: str
    notes: tuple[str, ...]
    troubled: bool


def lines(said: Iterable[Said]) -> tuple[Line, ...]:
    """Tell what was said."""
    return tuple(_in(one) if one.way is Way.IN else _out(one) for one in said)


def waits(said: Said, now: datetime) -> bool:
    """Return whether a text of ours lies ready for a later hour: nobody has been told it yet."""
    return said.state == MessageState.DUE and said.at > now


def _in(said: Said) -> Line:
    reading = said.reading or {}
    return Line(
        incoming=True,
        at=said.at,
        text=said.text,
        about="" if reading else worded(said.state, INBOUND_STATES),
        notes=(_meaning(reading), *_steps(reading)) if reading else (),
        troubled=said.state in _TROUBLED,
    )


def _meaning(reading: Mapping[str, object]) -> str:
    """Return what a text was read as, with the weight and the day where it named them."""
    intent = worded(str(reading.get("intent", "")), INTENTS)
    understood = reading.get("understood")
    details = understood if isinstance(understood, Mapping) else {}
    grams, on = details.get("grams"), details.get("on")
    weight = f"{kilos(grams)} kg" if isinstance(grams, int) else None
    day = f"of {full_day(date.fromisoformat(on))}" if isinstance(on, str) else None
    return "read as " + " ".join(filter(None, (intent, weight, day)))


def _steps(reading: Mapping[str, object]) -> tuple[str, ...]:
    why = reading.get("why")
    return tuple(str(step) for step in why) if isinstance(why, list | tuple) else ()


def _out(said: Said) -> Line:
    kind, state = worded(said.kind or "", KINDS), worded(said.state, MESSAGE_STATES)
    return Line(
        incoming=False,
        at=said.at,
        text=said.text,
        about=f"{kind}, {state}",
        notes=(measure(said.text), *filter(None, (said.why,))),
        troubled=said.state in _TROUBLED,
    )


def measure(text: str) -> str:
    """Return what a text costs: "1 part, 106 of 160"."""
    used = room(text)
    parts = f"{used.parts} part{'' if used.parts == 1 else 's'}"
    return f"{parts}, {used.units} of {used.units + used.left}"
