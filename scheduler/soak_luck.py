"""Luck that can be tried again: every draw is named, and hashed with a seed."""

import hashlib
from collections.abc import Sequence
from typing import Final, TypeVar

Value = TypeVar("Value")
_RANGE: Final = 2**64


class Luck:
    """Draws from a seed; the same name always draws the same, whatever was drawn before."""

    def __init__(self, seed: int) -> None:
        """Draw from `seed`."""
        self._seed = seed

    def share(self, name: str) -> float:
        """Draw a number from 0 up to 1."""
        digest = hashlib.sha256(f"{self._seed} {name}".encode()).digest()
        return int.from_bytes(digest[:8]) / _RANGE

    def up_to(self, name: str, most: int) -> int:
        """Draw a whole number from 1 to `most`."""
        return 1 + min(most - 1, int(self.share(name) * most))

    def among(self, name: str, values: Sequence[Value]) -> Value:
        """Draw one of `values`."""
        return values[self.up_to(name, len(values)) - 1]

    def happens(self, name: str, likelihood: float) -> bool:
        """Draw whether something happens."""
        return self.share(name) < likelihood
