"""A spray as a farmer tells it: what was understood, what is to be kept, and the days without picking that follow.

No text names a product, a dose or a mix, and none is asked for: only the days that the label says to wait.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final, TypeAlias

FEWEST_DAYS: Final = 1
MOST_DAYS: Final = 60
# What is waited where nobody knows the label, unless a programme sets its own: common practice, no source.
LONGEST_HOLD: Final = 30


@dataclass(frozen=True, kw_only=True)
class Sprayed:
    """The farmer reports a spray.

    Attributes:
        days: how many days the label says to wait before picking, or None when that was not said.
        on: the local day of the spray, or None when no day was said.
        vague: True when a time was said that is no single day: "last week".
        unsure: True when it was said that the label's days are not known.
    """

    days: int | None = None
    on: date | None = None
    vague: bool = False
    unsure: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveSpray:
    """Keep a spray on all of the farmer's open plots: a text names no plot, and fruit of none may be picked.

    Attributes:
        id: of its row for the plot `plot_id`.
        days: the label's days; None while nobody knows them.
    """

    id: int
    farmer_id: int
    plot_id: int
    on: date
    days: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class TellLabelDays:
    """The label's days of spray `id` have been told."""

    id: int
    farmer_id: int
    days: int


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidSpray:
    """Spray `id` is taken back, on all plots it was kept for."""

    id: int
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PickedFirst:
    """What is noted as picked on the day of spray `id` was picked before it."""

    id: int
    farmer_id: int


SprayEffect: TypeAlias = SaveSpray | TellLabelDays | VoidSpray | PickedFirst


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """One spray on a plot: nothing is picked from `sprayed_on` on; on `pick_from` fruit may be picked again."""

    spray_id: int
    sprayed_on: date
    pick_from: date


def held_on(sprays: tuple[Held, ...], day: date) -> Held | None:
    """Return the spray that holds longest on `day`, None where picking is free."""
    running = (one for one in sprays if one.sprayed_on <= day < one.pick_from)
    return max(running, key=lambda one: one.pick_from, default=None)


def free_from(on: date, days: int | None, longest: int) -> date:
    """Return the first day on which fruit may be picked again after a spray of day `on`.

    The label rules, and nothing ever shortens it: the day of the spray itself and those after it are held. Where
    nobody knows the label's days, `longest` are taken, which the programme has set.
    """
    return on + timedelta(days=longest if days is None else days)
