"""What a farmer has told that their own containers hold, as their page says it."""

from flows.vessels import Vessels


def vessels_told(vessels: Vessels) -> tuple[str, ...]:
    """Return each container with the kilos it holds: "basket 3 kg"."""
    return tuple(f"{vessel} {grams / 1000:g} kg" for vessel, grams in sorted(vessels.items()))
