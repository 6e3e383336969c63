"""The pre-harvest hold: after a spray nothing is picked until the label's days have passed.

The label rules, and nothing here ever shortens it. A spray of day D with n label days holds picking from D
on; day D + n is the first on which fruit may be picked again. Where the label's days are not known, the
longest days the programme has set are taken. Of several sprays the one that holds longest counts, so a
correction of one is obeyed by asking again with the corrected sprays.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from service.agronomy.figures import possible

# The tasks of a calendar whose texts ask for picking, or speak of ripe fruit.
SPEAKS_OF_PICKING: Final = frozenset({"first_fruit", "picking"})
_HOURS_A_DAY: Final = 24
# No label known asks for more; a larger figure is a slip.
_MOST_DAYS: Final = 365


@dataclass(frozen=True, kw_only=True, slots=True)
class Spray:
    """One spray on a stand, as the farmer told it.

    Attributes:
        sprayed_on: the local day.
        label_days: days the label asks for between spray and harvest; None when nobody knows them.
        reentry_hours: hours in which nobody may enter, by the label; None when it says none or nobody knows.

    Raises:
        Refused: no label can say so.
    """

    sprayed_on: date
    label_days: int | None = None
    reentry_hours: int | None = None

    def __post_init__(self) -> None:
        """Refuse what no label says."""
        if self.label_days is not None:
            possible("The label's days before harvest", self.label_days, 0, _MOST_DAYS, "days")
        if self.reentry_hours is not None:
            possible("The label's hours before entry", self.reentry_hours, 0, 2_000, "hours")


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """A hold that stands on the day asked about.

    Attributes:
        pick_from: the first day on which fruit may be picked again.
        days: the days before harvest that were reckoned with.
        spray: the spray that holds longest.
        assumed_longest: whether its label is unknown and the longest days were taken: ask for the label.
        by_reentry: whether the time before entry ends later than the days before harvest.
    """

    pick_from: date
    days: int
    spray: Spray
    assumed_longest: bool
    by_reentry: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class JudgedPick:
    """What becomes of a weight in view of sprays: it is always stored.

    Attributes:
        hold: the hold it was picked in, None outside of any; in one it is flagged and answered with the caution.
    """

    hold: Hold | None

    @property
    def flagged(self) -> bool:
        """Whether an officer is shown the weight and the farmer told the caution."""
        return self.hold is not None


def hold_of(spray: Spray, longest_days: int) -> Hold:
    """Return the hold that one spray brings.

    The hour of the spray is not known, so hours before entry are counted from the end of its day.

    Raises:
        Refused: `longest_days`, set by the programme for unknown labels, cannot be.
    """
    possible("The longest days before harvest", longest_days, 1, _MOST_DAYS, "days")
    days = longest_days if spray.label_days is None else spray.label_days
    by_label = spray.sprayed_on + timedelta(days=days)
    entry = by_label
    if spray.reentry_hours:
        entry = spray.sprayed_on + timedelta(days=1 - (-spray.reentry_hours // _HOURS_A_DAY))
    return Hold(
        pick_from=max(by_label, entry),
        days=days,
        spray=spray,
        assumed_longest=spray.label_days is None,
        by_reentry=entry > by_label,
    )


def hold_on(day: date, sprays: Iterable[Spray], longest_days: int) -> Hold | None:
    """Return the hold in which `day` lies, the latest end of all its sprays; None when picking is free.

    While it stands no text asks for, or speaks of, picking or selling from this stand.

    Raises:
        Refused: `longest_days` cannot be.
    """
    holds = (hold_of(spray, longest_days) for spray in sprays if spray.sprayed_on <= day)
    return max(
        (hold for hold in holds if day < hold.pick_from), key=lambda hold: hold.pick_from, default=None
    )


def judge_pick(picked_on: date, sprays: Iterable[Spray], longest_days: int) -> JudgedPick:
    """Say whether fruit was picked inside a hold; the day of the spray itself counts as inside.

    Raises:
        Refused: `longest_days` cannot be.
    """
    return JudgedPick(hold=hold_on(picked_on, sprays, longest_days))
