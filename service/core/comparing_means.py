"""Two means beside each other: how far apart they are and how sure that is, where the groups scatter differently.

It is the interval of B. L. Welch, "The generalization of 'Student's' problem when several different population
variances are involved", Biometrika 34, 1947, 28-35. It takes the means of many farmers, who each count once; kilos are
no bell, so that with few farmers it is a rough guide.
"""

from dataclasses import dataclass
from math import exp, lgamma, log, sqrt
from typing import Final

from service.core.comparing import SURE, Difference, Finding

_LEAST: Final = 2
_PARTS: Final = 60
_STEPS: Final = 60
_LARGEST_T: Final = 1_000.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Sample:
    """Figures of a group: how many, their sum and the sum of their squares."""

    of: int = 0
    sum: float = 0.0
    squares: float = 0.0

    @property
    def mean(self) -> float | None:
        """Their mean; None of nobody."""
        return self.sum / self.of if self.of else None

    @property
    def variance_of_mean(self) -> float | None:
        """How far the mean may lie off, squared; None where fewer than two say anything of it."""
        if self.of < _LEAST:
            return None
        return max(0.0, self.squares - self.sum * self.sum / self.of) / (self.of - 1) / self.of


@dataclass(frozen=True, kw_only=True, slots=True)
class MeanComparison:
    """Two groups, and what may be said of them; `difference` is None where too few say how they scatter."""

    first: Sample
    second: Sample
    difference: Difference | None
    finding: Finding


def compare_means(first: Sample, second: Sample) -> MeanComparison:
    """Compare the means of two groups by Welch's interval."""
    found = _difference(first, second)
    if found is None:
        finding = Finding.NOBODY
    else:
        finding = Finding.MORE if found.low > 0 else Finding.FEWER if found.high < 0 else Finding.TOO_SMALL
    return MeanComparison(first=first, second=second, difference=found, finding=finding)


def _difference(first: Sample, second: Sample) -> Difference | None:
    one, two = first.variance_of_mean, second.variance_of_mean
    if first.mean is None or second.mean is None or one is None or two is None or not one + two:
        return None
    # Welch and Satterthwaite's degrees of freedom.
    freedom = (one + two) ** 2 / (one**2 / (first.of - 1) + two**2 / (second.of - 1))
    half = student_quantile((1 + SURE) / 2, freedom) * sqrt(one + two)
    value = second.mean - first.mean
    return Difference(value=value, low=value - half, high=value + half)


def student_quantile(share: float, freedom: float) -> float:
    """Return below which t lies the share, from 0.5 up to 1, of Student's distribution."""
    low, high = 0.0, _LARGEST_T
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if _student_below(middle, freedom) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _student_below(t: float, freedom: float) -> float:
    """Return the share of Student's distribution below a t from 0 on; DLMF, 8.17 for the beta function in it."""
    squared = t * t
    # Whichever of x and 1 - x is small is reckoned as it is, and not as what is left of 1.
    x, rest = freedom / (freedom + squared), squared / (freedom + squared)
    if x < (freedom / 2 + 1) / (freedom / 2 + 2.5):
        return 1 - _beta(freedom / 2, 0.5, x, rest) / 2
    return (1 + _beta(0.5, freedom / 2, rest, x)) / 2


def _beta(a: float, b: float, x: float, rest: float) -> float:
    """Return the regularised incomplete beta function by its continued fraction, DLMF 8.17.22; `rest` is 1 - x."""
    if x <= 0.0:
        return 0.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(rest)) / a
    # From its last part to the first: a few times the root of the larger of a and b is enough of them.
    below = 0.0
    for step in range(_PARTS + round(4 * sqrt(max(a, b))), 0, -1):
        m = step // 2
        if step % 2:
            part = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            part = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        below = part / (1 + below)
    return front / (1 + below)
