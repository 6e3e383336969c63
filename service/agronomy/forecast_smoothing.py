"""The level of a series, how far it was off each time, and how far what comes next may lie off.

Simple exponential smoothing with a level that returns: the new level is a share of the newest value and the rest of
what was expected; of its distance from the mean only a share stays from week to week, as flushes and weather pass.
Where all of it stays this is simple exponential smoothing itself. The errors are those of the model behind it ("ETS" in
Hyndman, Koehler, Ord and Snyder, Forecasting with Exponential Smoothing, 2008; with a returning level it is an
ARMA(1, 1) around the mean; from memory). A surprise lasts, so the errors of weeks to come hang together, and those of
their sum are larger than if each week erred by itself.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

# Student's t: nine in ten lie below, by degrees of freedom from 1 to 30. Tables in any textbook; scipy agrees
# (tests/oracles/test_smoothing_libraries.py).
_NINE_IN_TEN: Final = (
    *(3.078, 1.886, 1.638, 1.533, 1.476, 1.440, 1.415, 1.397, 1.383, 1.372),
    *(1.363, 1.356, 1.350, 1.345, 1.341, 1.337, 1.333, 1.330, 1.328, 1.325),
    *(1.323, 1.321, 1.319, 1.318, 1.316, 1.315, 1.314, 1.313, 1.311, 1.310),
)
_NORMAL: Final = 1.282


@dataclass(frozen=True, kw_only=True, slots=True)
class Memory:
    """How a level moves: the share of each surprise that it takes, and of its distance from the mean that stays."""

    newest: float
    stays: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Smoothed:
    """What is known of a series.

    Attributes:
        mean: of all values known.
        level: after the last value.
        surprises: by how much each value lay above what was expected of it, the first left out.
    """

    mean: float
    level: float
    surprises: tuple[float, ...]

    def ahead(self, memory: Memory, weeks: int) -> float:
        """Return what is expected so many weeks ahead, from 1 on."""
        return self.mean + memory.stays**weeks * (self.level - self.mean)


def smooth(values: Sequence[float | None], memory: Memory) -> Smoothed | None:
    """Smooth a series in which None stands for what nobody knows; None if nobody knows anything.

    The first value known is the first level.
    """
    known = [value for value in values if value is not None]
    if not known:
        return None
    mean, level = sum(known) / len(known), known[0]
    surprises: list[float] = []
    for value in values[values.index(level) + 1 :]:
        level = mean + memory.stays * (level - mean)
        if value is not None:
            surprises.append(value - level)
            level += memory.newest * surprises[-1]
    return Smoothed(mean=mean, level=level, surprises=tuple(surprises))


def sum_error(parts: Sequence[float], memory: Memory) -> float:
    """Return the standard error of a sum of weeks to come, for surprises whose standard deviation is one.

    `parts` are what each week is multiplied with. A surprise counts whole in its own week, and in each later one with
    what the level took of it and has kept.
    """
    counted = [
        sum(
            part * (memory.newest * memory.stays**later if later else 1.0)
            for later, part in enumerate(parts[week:])
        )
        for week in range(len(parts))
    ]
    return math.hypot(*counted)


def eight_in_ten(surprises: Sequence[float], before: float, as_weeks: int) -> float:
    """Return how far from nothing eight surprises in ten lie at most.

    Few surprises say little of their spread: `before`, a standard deviation, counts as if it had been seen in
    `as_weeks` weeks, and Student's t makes up for what is not known still.
    """
    freedom = as_weeks + len(surprises)
    variance = (as_weeks * before**2 + sum(one**2 for one in surprises)) / freedom
    wide = _NINE_IN_TEN[freedom - 1] if freedom <= len(_NINE_IN_TEN) else _NORMAL
    return wide * math.sqrt(variance)
