"""What a farmer says of what was said before: a greeting, thanks, a weight put right."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Greeting:
    """The whole message greets, or thanks."""

    thanks: bool = False


@dataclass(frozen=True, kw_only=True)
class Details:
    """The farmer wants to correct their name, number of plants or planting day."""


@dataclass(frozen=True, kw_only=True)
class Correct:
    """The last weight is to be another one.

    Attributes:
        grams: what is right.
        instead: what was wrong, None where it was not said.
    """

    grams: int
    instead: int | None = None
