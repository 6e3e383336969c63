"""Carrying out what a farmer tells of water: what it is given with, and the rain in a gauge."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Final, Protocol

from flows.watering import SaveRain, SetMeans, VoidRain
from service.core.model import Inbound
from service.core.ports import Work


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    inbound: Inbound
    now: datetime


def _set_means(carry: Carried, effect: SetMeans) -> None:
    carry.work.watering.set_means(effect.farmer_id, effect.means, effect.millilitres, carry.now)


def _save_rain(carry: Carried, effect: SaveRain) -> None:
    carry.work.watering.add_rain(
        id=effect.id,
        farmer_id=effect.farmer_id,
        day=effect.on,
        tenths_mm=effect.tenths,
        inbound_id=carry.inbound.id,
        phone_id=carry.inbound.phone_id,
        at=carry.now,
    )


def _void_rain(carry: Carried, effect: VoidRain) -> None:
    carry.work.watering.void_rain(effect.id, carry.inbound.id)


WATERING: Final[dict[type[Any], Callable[[Any, Any], None]]] = {
    SetMeans: _set_means,
    SaveRain: _save_rain,
    VoidRain: _void_rain,
}
