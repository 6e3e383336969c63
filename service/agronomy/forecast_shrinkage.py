"""How far a plot's own figures are believed: the fewer they are, the nearer it is taken to all the others.

The credibility of Bühlmann and Straub ("Glaubwürdigkeit für Schadensätze", Mitteilungen der Vereinigung
schweizerischer Versicherungsmathematiker 70, 1970; from memory): of something seen with weight w, the share
w / (w + within / between) is believed, where `between` is how much plots differ among each other and `within` how much
one plot differs from itself at weight one. Both are estimated from all plots together, without bias, and a negative
`between` means that the plots cannot be told apart.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Own:
    """What was seen of one plot, summed up.

    Attributes:
        periods: in how many periods something was seen.
        weight: of all of them.
        first: the sum of weight times value.
        second: the sum of weight times value squared.
    """

    periods: int
    weight: float
    first: float
    second: float

    @property
    def mean(self) -> float:
        """The mean by weight."""
        return self.first / self.weight

    @property
    def scatter(self) -> float:
        """How far the periods lie from the mean, squared, by weight; rounding may not make it negative."""
        return max(0.0, self.second - self.first * self.mean)


def own(seen: Iterable[tuple[float, float]]) -> Own | None:
    """Sum up pairs of value and weight; those without weight say nothing, and None is left if there are no others."""
    periods, weight, first, second = 0, 0.0, 0.0, 0.0
    for value, heavy in seen:
        if heavy > 0:
            periods += 1
            weight += heavy
            first += heavy * value
            second += heavy * value * value
    return Own(periods, weight, first, second) if periods else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Structure:
    """What all plots have in common: their mean, and the two variances."""

    mean: float
    within: float
    between: float

    def believed(self, weight: float) -> float:
        """Return the share, 0 to 1, that is believed of something seen with a weight."""
        return weight / (weight + self.within / self.between) if self.between > 0 and weight > 0 else 0.0

    def of(self, plot: Own | None) -> float:
        """Return what a plot is taken for: that of all, where nothing of its own was seen."""
        if plot is None:
            return self.mean
        share = self.believed(plot.weight)
        return share * plot.mean + (1 - share) * self.mean


def structure(plots: Sequence[Own]) -> Structure:
    """Estimate what plots have in common, from at least one of them."""
    total = sum(plot.weight for plot in plots)
    plain = sum(plot.first for plot in plots) / total
    freedom = sum(plot.periods - 1 for plot in plots)
    within = sum(plot.scatter for plot in plots) / freedom if freedom else 0.0
    apart = sum(plot.weight * (plot.mean - plain) ** 2 for plot in plots)
    room = total - sum(plot.weight**2 for plot in plots) / total
    # One plot alone, or plots seen once each, cannot be told from chance.
    between = max(0.0, (apart - (len(plots) - 1) * within) / room) if freedom and room > 0 else 0.0
    found = Structure(mean=plain, within=within, between=between)
    shares = [found.believed(plot.weight) for plot in plots]
    if not sum(shares):
        return found
    mean = sum(share * plot.mean for share, plot in zip(shares, plots, strict=True)) / sum(shares)
    return Structure(mean=mean, within=within, between=between)
