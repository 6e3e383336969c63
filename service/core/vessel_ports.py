"""What is asked of the database about what farmers pick into."""

from collections.abc import Mapping
from datetime import datetime
from typing import Protocol

from flows.vessels import Vessel


class VesselRows(Protocol):
    """What farmers' own containers hold."""

    def of_farmer(self, farmer_id: int) -> Mapping[Vessel, int]:
        """Return what a farmer's containers hold of fruit, in grams, by kind."""
        ...

    def keep(self, farmer_id: int, vessel: Vessel, grams: int, at: datetime) -> None:
        """Keep what one holds, in place of what was told before."""
        ...
