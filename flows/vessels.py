"""What a farmer picks into, and the kilos that it holds: a basket is no measure before its owner has told."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Final, TypeAlias

# From a handful to what two people carry, as `service.agronomy.packs` has it.
LEAST_GRAMS: Final = 50
MOST_GRAMS: Final = 60_000
# More of them than anybody fills in a day.
MOST_FILLED: Final = 1_000


class Vessel(StrEnum):
    """A kind of container that fruit is picked into."""

    BUCKET = "bucket"
    TIN = "tin"
    CUP = "cup"
    BASKET = "basket"
    TRAY = "tray"
    CRATE = "crate"
    BOX = "box"
    PUNNET = "punnet"
    SACK = "sack"
    BAG = "bag"
    BOWL = "bowl"


@dataclass(frozen=True, kw_only=True)
class VesselTold:
    """The farmer tells what one container of theirs holds of fruit when full, in grams."""

    vessel: Vessel
    grams: int


@dataclass(frozen=True, kw_only=True)
class Filled:
    """The farmer reports a picking in containers.

    Attributes:
        count: how many were filled, halves allowed.
        on: the local day it was picked, or None when no day was said.
        vague: True when a time was said that is no single day: "last week".
    """

    vessel: Vessel
    count: Decimal
    on: date | None = None
    vague: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class SetVessel:
    """Keep what a farmer's container holds, in place of what was told before."""

    farmer_id: int
    vessel: Vessel
    grams: int


VesselSaid: TypeAlias = VesselTold | Filled
Vessels: TypeAlias = Mapping[Vessel, int]


def grams_in(count: Decimal, each: int) -> int:
    """Return the grams in so many containers of `each` grams; half grams go up."""
    return int((count * each).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def can_hold(grams: int) -> bool:
    """Return whether anybody picks into a container of so many grams."""
    return LEAST_GRAMS <= grams <= MOST_GRAMS
