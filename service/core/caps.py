"""The budget's caps: how many parts may be paid for, by whose purse they are taken from."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

Scope = str
"""Names a purse: "day", "alert:7", "officer:3" or "farmer:12"."""


class Sort(StrEnum):
    """Whose purse it is."""

    DAY = "day"
    ALERT = "alert"
    OFFICER = "officer"
    FARMER = "farmer"


def sort_of(scope: Scope) -> Sort:
    """Return whose purse a scope names."""
    return Sort(scope.partition(":")[0])


@dataclass(frozen=True, kw_only=True, slots=True)
class Caps:
    """How many parts each sort of purse holds; None is no limit, which only tests and measuring use.

    Those of the day, an officer and a farmer are filled anew each local day; an alert's is for the whole alert.
    """

    day: int | None = None
    alert: int | None = None
    officer: int | None = None
    farmer: int | None = None

    def of(self, scope: Scope) -> int | None:
        """Return how many parts the purse `scope` holds."""
        held = {
            Sort.DAY: self.day,
            Sort.ALERT: self.alert,
            Sort.OFFICER: self.officer,
            Sort.FARMER: self.farmer,
        }
        return held[sort_of(scope)]


NO_CAPS: Final = Caps()
