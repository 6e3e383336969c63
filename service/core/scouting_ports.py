"""What farmers have seen on their plants, and what is asked of the database about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol, Unpack

from flows.effects import Finding
from service.core.columns import NewScout


@dataclass(frozen=True, kw_only=True, slots=True)
class Village:
    """A village, and the district it lies in."""

    id: int
    name: str
    district_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Look:
    """What one farmer of a village has seen on one day."""

    farmer_id: int
    seen_on: date
    finding: Finding


class Scouting(Protocol):
    """Looks at plants."""

    def add(self, **values: Unpack[NewScout]) -> Village | None:
        """Keep a look with the village of its farmer, and return that; None where nobody told it."""
        ...

    def take_back(self, report_id: int) -> Sequence[Village]:
        """Forget what was seen with a job that is no longer done; return the villages it was seen in."""
        ...

    def looks(self, village_id: int, since: date) -> tuple[Look, ...]:
        """Return what was seen in a village from a day on, in the order it was told."""
        ...
