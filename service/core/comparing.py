"""Two shares beside each other: how far apart they are, how sure that is, and how many farmers it would take.

An interval holds the true figure in 95 of 100 such comparisons. Each farmer counts once; shares of the same farmers'
many texts would look far surer than they are.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, sqrt
from statistics import NormalDist
from typing import Final

from service.core.errors import Refused

SURE: Final = 0.95
# Two errors at most in a hundred comparisons go to each side.
_Z: Final = NormalDist().inv_cdf((1 + SURE) / 2)
_POWER: Final = 0.8


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """How many of how many.

    Raises:
        ValueError: more than there are; a programmer's mistake.
    """

    count: int
    of: int

    def __post_init__(self) -> None:
        """Refuse what is no share."""
        if not 0 <= self.count <= self.of:
            raise ValueError(f"{self.count} of {self.of} is no share")

    @property
    def value(self) -> float | None:
        """The share, from 0 to 1; None of nobody."""
        return self.count / self.of if self.of else None


class Finding(StrEnum):
    """What a comparison says of the second group beside the first."""

    MORE = "more"
    FEWER = "fewer"
    TOO_SMALL = "too_small"
    """It may as well be no difference at all."""
    NOBODY = "nobody"
    """One of the groups has nobody in it yet."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Difference:
    """How much larger the second share is than the first, with its interval: from -1 to 1."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """Two shares, and what may be said of them; `difference` is None where a group has nobody."""

    first: Share
    second: Share
    difference: Difference | None
    finding: Finding


def interval(share: Share) -> tuple[float, float]:
    """Return the interval of a share by Wilson's score (J. Amer. Statist. Assoc. 22, 1927, 209-212)."""
    if not share.of:
        return 0.0, 1.0
    p, n, z2 = share.count / share.of, share.of, _Z * _Z
    middle = (p + z2 / (2 * n)) / (1 + z2 / n)
    half = _Z * sqrt(p * (1 - p) / n + z2 / (4 * n * n)) / (1 + z2 / n)
    # Rounding must not push an end past what a share can be.
    return max(0.0, middle - half), min(1.0, middle + half)


def compare(first: Share, second: Share) -> Comparison:
    """Compare two groups, by Newcombe's interval from two Wilson scores.

    It is method 10 of R. G. Newcombe, "Interval estimation for the difference between independent proportions",
    Statistics in Medicine 17, 1998, 873-890.
    """
    one, two = first.value, second.value
    if one is None or two is None:
        return Comparison(first=first, second=second, difference=None, finding=Finding.NOBODY)
    (low_1, high_1), (low_2, high_2) = interval(first), interval(second)
    value = two - one
    found = Difference(
        value=value,
        low=value - sqrt((two - low_2) ** 2 + (high_1 - one) ** 2),
        high=value + sqrt((high_2 - two) ** 2 + (one - low_1) ** 2),
    )
    finding = Finding.MORE if found.low > 0 else Finding.FEWER if found.high < 0 else Finding.TOO_SMALL
    return Comparison(first=first, second=second, difference=found, finding=finding)


def needed_in_each(base: float, change: float) -> int:
    """Return how many farmers each group needs for a change of share to be seen in 8 of 10 such comparisons.

    The normal approximation for two proportions, two-sided, with the pooled variance where there is no difference:
    J. L. Fleiss, Statistical Methods for Rates and Proportions, second edition, 1981, formula 3.14 without its
    correction for continuity (from memory).

    Args:
        base: the share without the change, from 0 to 1.
        change: what it becomes larger by; negative for smaller.

    Raises:
        Refused: there are no such shares.
    """
    other = base + change
    if not (0 < base < 1 and 0 < other < 1) or not change:
        raise Refused("Both shares must lie between 0 and 100 percent, and they must differ.")
    pooled = (base + other) / 2
    chance = _Z * sqrt(2 * pooled * (1 - pooled))
    power = NormalDist().inv_cdf(_POWER) * sqrt(base * (1 - base) + other * (1 - other))
    return ceil(((chance + power) / change) ** 2)
