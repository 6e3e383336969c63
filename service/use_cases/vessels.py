"""What a farmer picks into: known where a text counts containers, and kept once it is told.

A punnet of which nobody told holds what punnets usually do; anything else is asked for.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any, Final, Protocol

from flows.facts import Facts
from flows.inputs import Input
from flows.vessels import Filled, SetVessel, Vessel, Vessels
from service.agronomy.cooling import load_cooling
from service.agronomy.packs import punnet_of
from service.core.ports import Work


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    now: datetime


def vessels_of(work: Work, farmer_id: int) -> Vessels:
    """Return what a farmer's containers hold, in grams."""
    usual = {Vessel.PUNNET: punnet_of(load_cooling()).grams}
    return {**usual, **work.vessels.of_farmer(farmer_id)}


def with_vessels(work: Work, facts: Facts, said: Input) -> Facts:
    """Return the facts with what each farmer picks into, where a text counts containers; nobody else's waits for it."""
    if not isinstance(said, Filled):
        return facts
    farmers = (replace(one, vessels=vessels_of(work, one.id)) for one in facts.farmers)
    return replace(facts, farmers=tuple(farmers))


def _set_vessel(carry: Carried, effect: SetVessel) -> None:
    carry.work.vessels.keep(effect.farmer_id, effect.vessel, effect.grams, carry.now)


VESSELS: Final[dict[type[Any], Callable[[Any, Any], None]]] = {SetVessel: _set_vessel}
