"""How long picked fruit keeps: by the hours since picking, and the warmest hour of the best weather there is."""

import math
from dataclasses import replace
from typing import Final

from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Input
from flows.keeping import Fresh, Keeping
from service.agronomy.cooling import CoolingFigures, Lain, ShelfLife, load_cooling, shelf_life
from service.core.ports import Work
from service.use_cases.watering import water_on

# No fruit outlasts more, and none is reckoned with beyond, see `service.agronomy.cooling`.
_MOST_HOURS: Final = 1_000
_COLDEST_C: Final = 0
_WARMEST_C: Final = 45


def with_keeping(work: Work, facts: Facts, said: Input) -> Facts:
    """Return the facts with how long each farmer's fruit keeps, where a text asks that; nobody else's waits for it."""
    if not isinstance(said, Fresh):
        return facts
    districts = {one.name: one for one in work.people.districts()}
    figures = load_cooling()

    def known(farmer: Farmer) -> Farmer:
        if farmer.state is not FarmerState.ACTIVE:
            return farmer
        found = water_on(work, work.plots.the(farmer.plot_id), districts[farmer.district], facts.on)
        if found is None:
            return farmer
        return replace(farmer, keeping=_keeping(figures, said.hours or 0, round(found.highest_c)))

    return replace(facts, farmers=tuple(map(known, facts.farmers)))


def _keeping(figures: CoolingFigures, hours: int, highest_c: int) -> Keeping:
    degrees = min(max(highest_c, _COLDEST_C), _WARMEST_C)
    lain = (Lain(hours=min(hours, _MOST_HOURS), at_c=degrees),)
    cold = round(figures.cooling.cold_c)
    return Keeping(
        degrees=degrees,
        hours=_hours(shelf_life(figures, lain, degrees)),
        cold_degrees=cold,
        cold_hours=_hours(shelf_life(figures, lain, min(cold, degrees))),
    )


def _hours(life: ShelfLife) -> tuple[int, int]:
    """Return whole hours, rounded down: fruit waits for nobody."""
    shortest, longest = (math.floor(24 * days) for days in life.days_left)
    return shortest, longest
