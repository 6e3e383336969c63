"""What a comparison says, in sentences that claim no more than it shows: on the page and at a terminal alike."""

from collections.abc import Iterator

from service.core.comparing import Comparison, Finding, Share
from service.core.comparing_means import MeanComparison
from service.use_cases.cohorts import WORTH_SEEING, ByLot, Wordings

_PERCENT = 100


def percent(share: Share) -> str:
    """Return a share with what it is of: "43 % (13 of 30)"."""
    if share.value is None:
        return "nobody yet"
    return f"{share.value * _PERCENT:.0f} % ({share.count:,} of {share.of:,})"


def of_lot(found: ByLot) -> Iterator[str]:
    """Yield what is known of those who are texted beside those who are held out."""
    yield (
        f"Of those who joined since {found.experiment.began_on} and had plants of an age to bear, told a weight: "
        f"texted {percent(found.told.second)}, held out of advice {percent(found.told.first)}."
    )
    yield _finding(found.told, "Among those who are texted", found.needed)
    yield (
        f"Kilos a plant, where weights were told: texted {_kilos(found.texted.kg_a_plant)} "
        f"({found.texted.plots_told:,} plots), held out {_kilos(found.held_out.kg_a_plant)} "
        f"({found.held_out.plots_told:,} plots). If the silent picked nothing: {_kilos(found.texted.kg_at_least)} and "
        f"{_kilos(found.held_out.kg_at_least)}. Where one group tells more often, its kilos say little."
    )
    yield _of_kilos(found.kilos)


def of_wordings(found: Wordings) -> Iterator[str]:
    """Yield what is known of two wordings."""
    tried = found.experiment
    yield (
        f"Experiment {tried.id}, two wordings of {tried.topic}, {tried.began_on} to {tried.ends_on}. A job of the "
        f"farmer's first such text was done within 7 days: first wording {percent(found.done.first)}, second "
        f"{percent(found.done.second)}."
    )
    yield _finding(found.done, "With the second wording", found.needed)
    if not found.over:
        yield "It is not over: whoever decides before its last day finds differences that are none."


def _finding(found: Comparison, where: str, needed: int | None) -> str:
    apart = found.difference
    if apart is None:
        return "In one of the groups nobody counts yet."
    range_ = f"{_points(apart.value)} points, and anything from {_points(apart.low)} to {_points(apart.high)} may be so"
    if found.finding is Finding.TOO_SMALL:
        if not needed:
            return f"Too small to tell: {range_}."
        points = f"{WORTH_SEEING * _PERCENT:.0f} points"
        return f"Too small to tell: {range_}. To see a difference of {points} each group needs about {needed:,} farmers."
    direction = "more" if found.finding is Finding.MORE else "fewer"
    return f"{where} there are {direction}: {range_}."


def _of_kilos(found: MeanComparison) -> str:
    apart, each = found.difference, "Kilos a plant, each farmer who told weights counting once"
    if apart is None:
        return f"{each}: too few to say how sure a difference is."
    range_ = f"{apart.value:+.3f} kg, and anything from {apart.low:+.3f} to {apart.high:+.3f} may be so"
    if found.finding is Finding.TOO_SMALL:
        return f"{each}: too small to tell: {range_}."
    direction = "more" if found.finding is Finding.MORE else "less"
    return f"{each}: those who are texted tell {direction}: {range_}."


def _points(value: float) -> str:
    """Return a difference of shares in points of a hundred, with its sign."""
    return f"{value * _PERCENT:+.0f}"


def _kilos(value: float | None) -> str:
    return "none" if value is None else f"{value:.3f}"
