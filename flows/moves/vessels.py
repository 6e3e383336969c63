"""Pickings told in containers: reckoned by what the farmer's own one holds, which is asked for once."""

from dataclasses import replace
from decimal import Decimal

from flows.effects import Effect
from flows.inputs import Number, Unit
from flows.moves.days_kept import DaysKept
from flows.moves.harvests import OLDEST, take
from flows.moves.noting import day_of
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled, with_input
from flows.states import State
from flows.vessels import MOST_FILLED, Filled, SetVessel, Vessel, VesselTold, can_hold, grams_in
from flows.wording import Grams, Phrase

_DAYS = DaysKept(oldest=OLDEST, vague="harvest_no_day", ahead="harvest_future", old="harvest_old")


def told(moment: Moment) -> Turn:
    """Keep what a container of the farmer's holds."""
    said = moment.expect(VesselTold)
    if not can_hold(said.grams):
        say = moment.say("vessel_unlikely", vessel=_named(said.vessel))
        return settled(moment, "no container holds that", say)
    keep = SetVessel(farmer_id=moment.someone().id, vessel=said.vessel, grams=said.grams)
    say = moment.say("vessel_noted", vessel=_named(said.vessel), kg=Grams(said.grams))
    return settled(moment, "what a container holds is kept", keep, say)


def filled(moment: Moment) -> Turn:
    """Take a picking told in containers, or ask what one holds."""
    report, today = moment.expect(Filled), moment.facts.on
    on = report.on or today
    refused = _DAYS.refused(on, today, vague=report.vague)
    if refused:
        why, text_id = refused
        return settled(moment, why, moment.say(text_id))
    each = moment.someone().vessels.get(report.vessel)
    if each is not None:
        return _take(moment, report, each, ())
    return asked(
        moment,
        "what a container holds is asked",
        State.VESSEL_KILOS,
        moment.say("vessel_ask", vessel=_named(report.vessel)),
        vessel=report.vessel.value,
        count=str(report.count),
        on=on.isoformat(),
    )


def take_kilos(moment: Moment) -> Turn:
    """Take the kilos that the container holds, and with them the picking that was told."""
    vessel, count = _asked_about(moment)
    said = moment.input
    grams = _grams(said) if isinstance(said, Number) else 0
    if isinstance(said, VesselTold) and said.vessel is vessel:
        grams = said.grams
    if not can_hold(grams):
        return missed(moment, "no container holds that", moment.say("vessel_unlikely", vessel=_named(vessel)))
    keep = SetVessel(farmer_id=moment.someone().id, vessel=vessel, grams=grams)
    report = Filled(vessel=vessel, count=count, on=day_of(moment))
    return _take(ended(moment), report, grams, (keep,))


def told_while_asked(moment: Moment) -> Turn:
    """Take "basket = 3 kg" as the answer where the basket was asked about, else as what it is by itself."""
    vessel, _ = _asked_about(moment)
    return take_kilos(moment) if moment.expect(VesselTold).vessel is vessel else told(moment)


def _take(moment: Moment, report: Filled, each: int, before: tuple[Effect, ...]) -> Turn:
    farmer = moment.someone()
    knowing = replace(farmer, vessels={**farmer.vessels, report.vessel: each})
    here = replace(with_input(moment, report), farmer=knowing)
    return take(here, grams_in(report.count, each), report.on or moment.facts.on, before)


def _asked_about(moment: Moment) -> tuple[Vessel, Decimal]:
    talk = moment.conversation
    return Vessel(talk.text("vessel") or Vessel.BUCKET), Decimal(talk.text("count") or 1)


def _grams(said: Number) -> int:
    return int(said.value * (1 if said.unit is Unit.GRAM else 1000)) if said.value < MOST_FILLED else 0


def _named(vessel: Vessel) -> Phrase:
    return Phrase(f"vessel.{vessel}")
