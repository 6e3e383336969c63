"""What the use cases ask of the database about plots: planting, planning, a farmer's jobs and weights."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, Unpack

from flows.facts import Weights
from service.core.columns import NewDone, NewPlot, PlotChange
from service.core.model import (
    HarvestState,
    Picked,
    Plot,
    Reminder,
    ReminderKey,
    ReminderState,
)
from service.core.saved import SavedJobs, SavedWeight


class Plots(Protocol):
    """Plots and their changes."""

    def add(self, **values: Unpack[NewPlot]) -> int: ...
    def get(self, plot_id: int) -> Plot | None: ...
    def the(self, plot_id: int) -> Plot: ...
    def of_farmer(self, farmer_id: int) -> tuple[Plot, ...]: ...
    def set(self, plot_id: int, **values: Unpack[PlotChange]) -> None: ...
    def set_live(self, farmer_id: int, *, live: bool) -> None: ...
    def keep_change(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        plot_id: int,
        at: datetime,
        who: str,
        before: Mapping[str, object],
        after: Mapping[str, object],
    ) -> None: ...


class Planning(Protocol):
    """Reminders of one plot; whole days are planned by the scheduler, set by set."""

    def insert_for_plot(self, day: date, plot_id: int, revision: int, task: str, ordinal: int) -> None: ...
    def merge_again(self, zone: str, calendar_id: str, day: date) -> None: ...


class Reminders(Protocol):
    """Reminders as a farmer's jobs."""

    def open_for(self, farmer_id: int, on: date, since: date) -> tuple[Reminder, ...]: ...
    def place(self, farmer_id: int, places: Sequence[tuple[ReminderKey, int]]) -> None: ...
    def put_off(self, key: ReminderKey, on: date) -> None: ...
    def mark_answered(self, key: ReminderKey, answer: str, at: datetime) -> None: ...
    def answered_places(self, farmer_id: int) -> frozenset[int]: ...
    def answered_with(
        self, plot_id: int, task: str, answer: str, since: date, until: date
    ) -> tuple[ReminderKey, ...]: ...
    def reopen(self, key: ReminderKey) -> None: ...
    def add_done(self, **values: Unpack[NewDone]) -> None: ...
    def last_done(self, phone_id: int, plot_ids: Sequence[int], since: datetime) -> SavedJobs | None: ...
    def undo_done(self, report_id: int, inbound_id: int) -> None: ...
    def call_off_unsent(self, plot_id: int, why: str, at: datetime) -> int: ...
    def end_waiting(self, plot_id: int, state: ReminderState, why: str) -> None: ...


@dataclass(frozen=True, kw_only=True, slots=True)
class ToldWeight:
    """A weight that an officer has entered."""

    on: date
    grams: int
    state: HarvestState


class Harvests(Protocol):
    """Weights."""

    def weights(self, plot_id: int, on: date) -> Weights: ...
    def add(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        plot_id: int,
        picked_on: date,
        grams: int,
        state: HarvestState,
        inbound_id: int | None,
        phone_id: int | None,
        officer_id: int | None = None,
        at: datetime,
    ) -> None: ...
    def count(self, harvest_id: int, grams: int, at: datetime) -> tuple[int, date]: ...
    def void(self, harvest_id: int, inbound_id: int | None) -> tuple[int, date]: ...
    def told(self, plot_id: int, harvest_id: int) -> ToldWeight | None: ...
    def replace_day(self, harvest_id: int) -> None: ...
    def last_saved(self, phone_id: int, since: datetime) -> SavedWeight | None: ...
    def picked_since(self, plot_id: int, since: date) -> tuple[Picked, ...]: ...
