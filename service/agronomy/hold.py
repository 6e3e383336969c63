"""What speaks of picking, and so waits for the end of a hold after a spray; when that is, `flows.spraying` reckons."""

from typing import Final

# The tasks of a calendar whose texts ask for picking, or speak of ripe fruit.
SPEAKS_OF_PICKING: Final = frozenset({"first_fruit", "picking"})
