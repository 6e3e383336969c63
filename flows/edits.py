"""What a farmer has corrected of what we keep of them."""

from dataclasses import dataclass

from flows.inputs import Planted


@dataclass(frozen=True, kw_only=True, slots=True)
class Rename:
    """The farmer has another name than we kept."""

    farmer_id: int
    name: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SetPlants:
    """The plot has another number of plants."""

    farmer_id: int
    plot_id: int
    plants: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Replant:
    """The plot was planted on another day: it is planned anew."""

    farmer_id: int
    plot_id: int
    planted: Planted


@dataclass(frozen=True, kw_only=True, slots=True)
class CountPlants:
    """So many plants of the plot stand today: what is reckoned from now on goes by them."""

    farmer_id: int
    plot_id: int
    plants: int


Edit = Rename | SetPlants | Replant | CountPlants
