"""Sprays as the use cases hand them on, and what is asked of the database about them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptSpray:
    """A spray on one plot that was not taken back.

    Attributes:
        label_days: days that the label says to wait; None while nobody knows them.
        pick_from: the first day on which fruit may be picked again.
        inbound_id: the text it was told in; None where an officer was told of it.
    """

    id: int
    plot_id: int
    sprayed_on: date
    label_days: int | None
    pick_from: date
    inbound_id: int | None
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class NewSpray:
    """A spray to be kept, told in a text from a phone or to an officer."""

    id: int
    plot_id: int
    sprayed_on: date
    label_days: int | None
    pick_from: date
    inbound_id: int | None = None
    phone_id: int | None = None
    officer_id: int | None = None
    at: datetime


class SprayRows(Protocol):
    """Sprays that were told of."""

    def add(self, sprays: Iterable[NewSpray]) -> None:
        """Keep sprays."""
        ...

    def on_plots(self, plot_ids: Sequence[int], after: date) -> tuple[KeptSpray, ...]:
        """Return the sprays on these plots whose hold ends after a day."""
        ...

    def alike(self, spray_id: int) -> tuple[KeptSpray, ...]:
        """Return a spray with those told in the same text for other plots; nothing once it is taken back."""
        ...

    def last_saved(self, phone_id: int, since: datetime) -> KeptSpray | None:
        """Return the last spray a phone told of since then, of several plots the one told of first."""
        ...

    def set_days(
        self, spray_ids: Sequence[int], label_days: int | None, pick_from: date, at: datetime
    ) -> None:
        """Keep what the label of some sprays says."""
        ...

    def set_picked_first(self, spray_ids: Sequence[int]) -> None:
        """Keep that what was told as picked on the day of some sprays was picked before them."""
        ...

    def void(self, spray_ids: Sequence[int], at: datetime, inbound_id: int | None) -> None:
        """Take sprays back."""
        ...

    def flag_weights(self, plot_ids: Sequence[int]) -> None:
        """Mark the weights of these plots that were picked under a hold, and no others."""
        ...

    def call_off(self, plot_ids: Sequence[int], tasks: Sequence[str], why: str, at: datetime) -> int:
        """Call off the texts to be sent that speak of some tasks on these plots, or of a hold that has ended.

        Their jobs wait for a text again. Return how many texts never left.
        """
        ...
