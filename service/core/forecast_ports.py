"""What a forecast asks of the database: the plots of a district and what was picked from them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol


@dataclass(frozen=True, kw_only=True, slots=True)
class FieldPlot:
    """A live plot as far as its fruit is concerned; `elevation_m` is its own, else that of its district."""

    id: int
    planted_on: date
    plants: int
    elevation_m: int | None


class Fields(Protocol):
    """Plots and their weights, set by set."""

    def plots(self, district_id: int, planted_since: date, planted_until: date) -> Sequence[FieldPlot]:
        """Return the live plots of a district that were planted in these days, both included, by their ids."""
        ...

    def picked(self, plot_ids: Sequence[int], since: date, until: date) -> Iterable[tuple[int, date, int]]:
        """Return plot, day and grams that count, all weights of a day together, by plot and day.

        The day `since` is included and the day `until` is not. "Nothing ripe" is a day with 0 grams. What a collection
        weighed counts where its farmer told no weight of that day or the day before.
        """
        ...
