"""What threatens a district or a village, by the weather or by what farmers see, and what is asked about it."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import NotRequired, Protocol, TypedDict, Unpack

from flows.effects import Finding
from service.core.alert_states import ENDED, AlertState


class DangerState(StrEnum):
    """Where a danger stands."""

    OPEN = "open"
    """It waits for an officer of the district."""
    WRITTEN = "written"
    """An officer has made the draft of an alert of it, which says nothing of whether anybody was told."""
    LEFT = "left"
    """An officer has seen it and leaves it at that."""
    LIFTED = "lifted"
    """Newer weather does not threaten any more."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Danger:
    """One hazard of one district on one day, or one pest that is seen more often in one of its villages.

    Attributes:
        hazard: what threatens, by the name that `service.agronomy.risk` has for it.
        day: the local day; for frost the one that begins in the night meant, for a pest the last one of use.
        level: how grave it is, the higher the graver.
        figure: what the pre-approved text is filled with; None where there is no such text.
        metres_from: plots from this height on are threatened; None for all of them.
        reason: what it was found from, in words for officers.
        alert_state: where the alert stands that was made of it last; None where none was.
        told: whether a text of that alert has left, or may have.
        settled_by: which officer did something about it last, by name, and `settled_at` when; None where nobody has.
        village: where farmers have seen `pest`; None where the weather threatens.
    """

    id: int
    district_id: int
    district: str
    zone: str
    hazard: str
    day: date
    level: int
    figure: int | None
    metres_from: int | None
    reason: str
    state: DangerState
    alert_id: int | None
    alert_state: AlertState | None
    told: bool
    settled_by: str | None
    settled_at: datetime | None
    village_id: int | None
    village: str | None
    pest: Finding | None

    @property
    def written(self) -> bool:
        """Return whether an alert was made of it that nobody has been told by, and that may still go."""
        return self.state is DangerState.WRITTEN and self.still_drafted

    @property
    def still_drafted(self) -> bool:
        """Return whether there is such an alert, whatever became of the danger since."""
        return self.alert_state is not None and self.alert_state not in ENDED and not self.told

    @property
    def settled(self) -> bool:
        """Return whether an officer has seen to it; one whose alert came to nothing stands as before."""
        return self.state is DangerState.LEFT or (
            self.state is DangerState.WRITTEN and (self.told or self.written)
        )

    @property
    def goes_by_itself(self) -> bool:
        """Return whether its alert is confirmed and leaves without anybody doing more."""
        return self.written and self.alert_state in {AlertState.SCHEDULED, AlertState.SENDING}

    @property
    def waits(self) -> bool:
        """Return whether farmers have still to be told, or somebody has to leave it at that."""
        return self.state is DangerState.OPEN or (self.state is DangerState.WRITTEN and not self.told)


class FoundDanger(TypedDict):
    """What is found of a danger anew each time."""

    level: int
    figure: int | None
    metres_from: int | None
    reason: str
    state: DangerState


class NewDanger(FoundDanger):
    """A danger that was not there before."""

    id: int
    district_id: int
    hazard: str
    day: date
    found_at: datetime
    village_id: NotRequired[int]
    pest: NotRequired[Finding]


class DangerChange(TypedDict, total=False):
    """What changes of a danger: it becomes graver or milder, or somebody does something about it."""

    level: int
    figure: int | None
    metres_from: int | None
    reason: str
    state: DangerState
    alert_id: int
    settled_by: int
    settled_at: datetime


class DangerRows(Protocol):
    """Dangers, and the heights at which a district's plots lie."""

    def heights(self, district_id: int) -> tuple[int, int] | None:
        """Return the lowest and the highest of the live plots' heights, None if none is known."""
        ...

    def from_day(self, districts: Collection[int] | None, first: date) -> tuple[Danger, ...]:
        """Return the dangers of these districts, None for all, from a day on, by day and gravity."""
        ...

    def find(self, danger_id: int) -> Danger | None: ...
    def add(self, **values: Unpack[NewDanger]) -> None: ...
    def change(self, danger_id: int, **values: Unpack[DangerChange]) -> None: ...
    def of_alert(self, alert_id: int) -> Danger | None: ...
    def of_village(self, village_id: int, first: date) -> tuple[Danger, ...]: ...
