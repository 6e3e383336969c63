"""What a text was heard to say, in one shape for programs: from what is carried out, else from what was understood."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Final

from flows.alarms import Distress, Emergency
from flows.collecting import Estimate, SaveEstimate
from flows.counting import PlantCount
from flows.edits import CountPlants
from flows.effects import Effect, Rest, SaveDone, SaveQuestion, SetLanguage, StopPhone, Unlink, Urgency
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
    NotYet,
    Number,
    Stop,
    Total,
    Understood,
    Undo,
    Unit,
)
from flows.remarks import Correct, Details, Greeting
from flows.spraying import SaveSpray, Sprayed
from flows.trading import Cost, Price, SaveCost, SaveSale, Sold, Year
from flows.vessels import Filled, SetVessel, VesselTold
from flows.watering import Rain, SaveRain, SetMeans, Water
from flows.weighed import SaveHarvest
from flows.wishes import Alerts, Days, Language, Pause, Records, Who, WrongNumber

GRAMS: Final = "g"
PLANTS: Final = "plants"
_MILLIMETRES: Final = "mm"
_MILLILITRES: Final = "ml"
_A_KILO: Final = 1000


@dataclass(frozen=True, kw_only=True, slots=True)
class Heard:
    """One thing a text says.

    Attributes:
        intent: what it is about.
        amount: the number said with it: whole grams of a weight.
        unit: what that number counts: "g", "mm", "ml", "plants", "days", a currency's code, or a container's name.
        on: the local day it is about.
        item: the job, the container, the language, or what money was spent on.
    """

    intent: str
    amount: int | float | None = None
    unit: str | None = None
    on: date | None = None
    item: str | None = None

    def plain(self) -> Mapping[str, Any]:
        """Return it for a JSON object: the day as ISO 8601."""
        told = asdict(self)
        day = told.pop("on")
        return {**told, "date": day.isoformat() if day else None}


def from_effects(effects: Sequence[Effect], on: date, currency: str) -> tuple[Heard, ...]:
    """Return what is kept or changed by a text, in order; empty where nothing is."""
    heard = (_EFFECTS[type(effect)](effect, on, currency) for effect in effects if type(effect) in _EFFECTS)
    return tuple(one for one in heard if one is not None)


def from_input(said: Input, on: date) -> tuple[Heard, ...]:
    """Return what a text was understood as, where it changes nothing."""
    found = _INPUTS.get(type(said))
    return found(said, on) if found else ()


def in_containers(value: Decimal, name: str, on: date) -> Heard:
    """Return a picking told in containers, whose weight nobody knows."""
    return Heard(intent="harvest", amount=_number(value), unit=name, on=on)


def _number(value: Decimal) -> int | float:
    return int(value) if value == value.to_integral_value() else float(value)


def _unit(amount: int | None, unit: str) -> str | None:
    return None if amount is None else unit


def _question(effect: SaveQuestion, _on: date, _currency: str) -> Heard | None:
    """Return a question; words nobody understood are none."""
    intents = {Urgency.EMERGENCY: "emergency", Urgency.NEED_HELP: "officer", Urgency.ORDINARY: "question"}
    intent = intents.get(effect.urgency)
    return Heard(intent=intent) if intent else None


_EFFECTS: Final[Mapping[type[Effect], Callable[[Any, date, str], Heard | None]]] = {
    SaveHarvest: lambda kept, _on, _: Heard(intent="harvest", amount=kept.grams, unit=GRAMS, on=kept.on),
    SaveEstimate: lambda kept, _on, _: Heard(intent="estimate", amount=kept.grams, unit=GRAMS, on=kept.on),
    SaveSpray: lambda kept, _on, _: Heard(
        intent="spray", amount=kept.days, unit=None if kept.days is None else "days", on=kept.on
    ),
    SetVessel: lambda kept, _on, _: _container(kept),
    SaveSale: lambda kept, _on, _: Heard(intent="sold", amount=kept.grams, unit=GRAMS, on=kept.on),
    SaveCost: lambda kept, _on, currency: Heard(
        intent="cost", amount=kept.minor, unit=currency, on=kept.on, item=kept.kind.value
    ),
    SaveRain: lambda kept, _on, _: Heard(
        intent="rain", amount=_number(Decimal(kept.tenths) / 10), unit=_MILLIMETRES, on=kept.on
    ),
    SetMeans: lambda kept, _on, _: Heard(
        intent="container", amount=kept.millilitres, unit=_MILLILITRES, item=kept.means.value
    ),
    CountPlants: lambda kept, _on, _: Heard(intent="estimate", amount=kept.plants, unit=PLANTS),
    SaveDone: lambda _kept, on, _: Heard(intent="done", on=on),
    StopPhone: lambda _kept, _on, _: Heard(intent="stop"),
    Unlink: lambda _kept, _on, _: Heard(intent="wrong_number"),
    Rest: lambda kept, on, _: Heard(intent="pause", amount=(kept.until - on).days, unit="days"),
    SetLanguage: lambda kept, _on, _: Heard(intent="language", item=kept.language),
    SaveQuestion: _question,
}


def _harvest(said: Harvest, on: date) -> tuple[Heard, ...]:
    day = said.on or on
    grams = [grams for grams in (said.grams, said.other) if grams is not None]
    heard = [Heard(intent="harvest", amount=one, unit=GRAMS, on=day) for one in grams]
    if said.second:
        heard.append(Heard(intent="harvest", amount=said.second[0], unit=GRAMS, on=said.second[1]))
    return tuple(heard) or (Heard(intent="harvest", on=day),)


def _bare(said: Number, on: date) -> tuple[Heard, ...]:
    scale = 1 if said.unit is Unit.GRAM else _A_KILO
    values = [value for value in (said.value, said.other) if value is not None]
    return tuple(Heard(intent="harvest", amount=int(one * scale), unit=GRAMS, on=on) for one in values)


def _done(said: Done, on: date) -> tuple[Heard, ...]:
    return tuple(Heard(intent="done", on=on, item=str(number)) for number in said.numbers) or (
        Heard(intent="done", on=on),
    )


def _not_yet(said: NotYet, _on: date) -> tuple[Heard, ...]:
    return tuple(Heard(intent="notyet", item=str(number)) for number in said.numbers) or (
        Heard(intent="notyet"),
    )


def _sold(said: Sold, on: date) -> tuple[Heard, ...]:
    return (Heard(intent="sold", amount=said.grams, unit=_unit(said.grams, GRAMS), on=said.on or on),)


def _pause(said: Pause, on: date) -> tuple[Heard, ...]:
    days = None if said.until is None else (said.until - on) // timedelta(days=1)
    return (Heard(intent="pause", amount=days, unit=_unit(days, "days")),)


def _container(told: VesselTold | SetVessel) -> Heard:
    return Heard(intent="container", amount=told.grams, unit=GRAMS, item=told.vessel.value)


def _plainly(intent: str) -> Callable[[Input, date], tuple[Heard, ...]]:
    return lambda _said, _on: (Heard(intent=intent),)


_INPUTS: Final[Mapping[type[Input], Callable[[Any, date], tuple[Heard, ...]]]] = {
    Harvest: _harvest,
    Number: _bare,
    Filled: lambda said, on: (in_containers(said.count, said.vessel.value, said.on or on),),
    VesselTold: lambda said, _on: (_container(said),),
    Estimate: lambda said, _on: (
        Heard(intent="estimate", amount=said.grams, unit=_unit(said.grams, GRAMS), on=said.on),
    ),
    Correct: lambda said, on: (Heard(intent="correction", amount=said.grams, unit=GRAMS, on=on),),
    Details: _plainly("correction"),
    Undo: lambda _said, on: (Heard(intent="undo", on=on),),
    Done: _done,
    NotYet: _not_yet,
    NeedHelp: _plainly("officer"),
    Jobs: lambda said, _on: (Heard(intent="jobs", item=None if said.number is None else str(said.number)),),
    Water: _plainly("water"),
    Rain: lambda said, on: (Heard(intent="rain", on=said.on or on),),
    Ask: _plainly("question"),
    Price: _plainly("price"),
    Sold: _sold,
    Cost: lambda said, on: (
        Heard(intent="cost", on=said.on or on, item=said.kind.value if said.kind else None),
    ),
    Sprayed: lambda said, on: (Heard(intent="spray", on=said.on or on),),
    Days: _plainly("days"),
    PlantCount: lambda said, _on: (
        Heard(intent="estimate", amount=said.plants, unit=_unit(said.plants, PLANTS)),
    ),
    Total: _plainly("total"),
    Year: _plainly("total"),
    Help: _plainly("help"),
    Language: lambda said, _on: (Heard(intent="language", item=said.chosen),),
    Pause: _pause,
    Alerts: _plainly("pause"),
    Records: _plainly("records"),
    Who: _plainly("who"),
    WrongNumber: _plainly("wrong_number"),
    Join: lambda said, _on: (Heard(intent="join", amount=said.plants, unit=_unit(said.plants, PLANTS)),),
    Understood: _plainly("alert_reply"),
    Greeting: lambda said, _on: (Heard(intent="thanks" if said.thanks else "none"),),
    Emergency: _plainly("emergency"),
    Distress: _plainly("emergency"),
    Stop: _plainly("stop"),
    Cancel: lambda _said, _on: (),
}
