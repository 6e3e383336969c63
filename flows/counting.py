"""Plants as a farmer counts them."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class PlantCount:
    """The farmer has counted the living plants; `plants` is None where no clear number was said."""

    plants: int | None = None
