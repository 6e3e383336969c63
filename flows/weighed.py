"""What becomes of a weight: kept, counted, taken back, or put in the place of others."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveHarvest:
    """Keep a weight, counted or in question."""

    id: int
    farmer_id: int
    plot_id: int
    grams: int
    on: date
    in_question: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class CountHarvest:
    """A weight in question is right; `grams` is the weight the farmer chose."""

    id: int
    farmer_id: int
    grams: int


@dataclass(frozen=True, kw_only=True, slots=True)
class VoidHarvest:
    """A weight is taken back; it stays on record as voided."""

    id: int
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ReplaceDay:
    """The other weights of a day give way to the weight `id`; they come back if it is taken back."""

    id: int
    farmer_id: int
