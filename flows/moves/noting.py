"""What is said of a weight that was kept, and what an open question about a weight holds."""

from dataclasses import replace
from datetime import date

from flows.effects import Say
from flows.facts import Farmer
from flows.moves.turn import Moment
from flows.spraying import held_on
from flows.vessels import Filled
from flows.wording import Grams, Name, Phrase


def noted(moment: Moment, grams: int, on: date, *, replaces: bool) -> Say:
    """Say what was kept and what it adds up to; of fruit picked after a spray, what the label asks for."""
    farmer = moment.someone()
    held = held_on(farmer.sprays, on)
    if held:
        return moment.say(
            "harvest_in_hold",
            kg=Grams(grams),
            date=on,
            date_sprayed=held.sprayed_on,
            date_free=held.pick_from,
        )
    if isinstance(moment.input, Filled) and not replaces:
        return _noted_in(moment, moment.input, grams, on)
    others = picked_instead(farmer, on, 0) if replaces else farmer
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


def _noted_in(moment: Moment, filled: Filled, grams: int, on: date) -> Say:
    """Say what was kept of a picking in containers, and what one of them holds."""
    farmer = moment.someone()
    return moment.say(
        "harvest_noted_in",
        name=Name(farmer.name),
        kg=Grams(grams),
        date=on,
        vessel=Phrase(f"vessel.{filled.vessel}"),
        count=f"{filled.count.normalize():f}",
        kg_1=Grams(farmer.vessels[filled.vessel]),
        total=Grams(farmer.weights.total + grams),
    )


def picked_instead(farmer: Farmer, on: date, grams: int) -> Farmer:
    """Return the farmer as if `grams` were all that had been picked on a day."""
    weights = farmer.weights
    days = {**weights.by_day, on: grams}
    if not grams:
        del days[on]
    total = weights.total - weights.by_day.get(on, 0) + grams
    first = weights.first_on if grams or weights.first_on != on else min(days, default=None)
    return replace(farmer, weights=replace(weights, by_day=days, total=total, first_on=first))


def pending(moment: Moment) -> int:
    """Return the weight, in grams, that the open question is about."""
    return moment.conversation.whole("grams") or 0


def day_of(moment: Moment) -> date:
    """Return the day that the open question is about, else today."""
    kept = moment.conversation.text("on")
    return date.fromisoformat(kept) if kept else moment.facts.on
