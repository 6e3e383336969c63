"""Carrying out what a farmer says to bring."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Final, Protocol

from flows.collecting import SaveEstimate, VoidEstimate
from service.core.model import Inbound
from service.core.ports import Work


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    inbound: Inbound
    now: datetime


def _save(carry: Carried, effect: SaveEstimate) -> None:
    carry.work.estimates.add(
        id=effect.id,
        farmer_id=effect.farmer_id,
        for_day=effect.on,
        grams=effect.grams,
        inbound_id=carry.inbound.id,
        phone_id=carry.inbound.phone_id,
        at=carry.now,
    )


def _void(carry: Carried, effect: VoidEstimate) -> None:
    carry.work.estimates.void(effect.id, carry.inbound.id)


ESTIMATES: Final[dict[type[Any], Callable[[Any, Any], None]]] = {SaveEstimate: _save, VoidEstimate: _void}
