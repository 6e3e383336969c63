"""Picked fruit: how long it still keeps, as a farmer asks it, and what the answer rests on."""

from dataclasses import dataclass
from typing import TypeAlias

from flows.vessels import VesselSaid


@dataclass(frozen=True, kw_only=True)
class Fresh:
    """The farmer asks how long picked fruit keeps; `hours` ago it was picked, None where that was not said."""

    hours: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Keeping:
    """How long fruit keeps from now on, shortest and longest.

    Attributes:
        degrees: the warmest of the day, at which it is taken to lie.
        hours: hours, if it goes on lying there; 0 where its life may be used up.
        cold_degrees: the temperature that slows it down.
        cold_hours: hours, if it lies at that from now on.
    """

    degrees: int
    hours: tuple[int, int]
    cold_degrees: int
    cold_hours: tuple[int, int]


AfterPicking: TypeAlias = VesselSaid | Fresh
