"""One job of the crop calendar: on which days it falls, at what pace it comes back, how long it is of use.

Some plots may have other days for it, or do without it: what a plot is like stands in `service.agronomy.traits`.
"""

from dataclasses import replace
from datetime import timedelta
from enum import StrEnum
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Any, Final, Self

from pydantic import BeforeValidator, ConfigDict, Field, ValidationError, model_validator
from pydantic.dataclasses import dataclass

from service.agronomy.traits import EVERY, PlotTraits, Which, belongs, common, without

# A stand is replaced after three years at the latest: Univ. California Master Gardener.
END: Final = 1095
# Weekly rides: two occurrences of one task closer together than this would fall on the same text day.
WEEK: Final = 7
# What was due longer ago matters to nobody: it is of no use any more, cannot be answered and holds nothing back.
LOOK_BACK: Final = timedelta(days=75)

_STRICT: Final = ConfigDict(extra="forbid")


class Rides(StrEnum):
    """On which days a task may fall."""

    TEXT_DAY = "text_day"
    EXACT_DAY = "exact_day"
    PICKING_DAYS = "picking_days"


def _as_tuple(value: object) -> object:
    """Let a single figure stand for a list of one."""
    return value if isinstance(value, list | tuple) else (value,)


def _as_steps(value: object) -> object:
    """Let a plain number of days stand for one pace that never changes."""
    return ({"days": value},) if isinstance(value, int) else value


@dataclass(frozen=True, kw_only=True, config=_STRICT)
class Pace:
    """How many days lie between two occurrences, as long as the next one is not after day `until`."""

    days: Annotated[int, Field(ge=1)]
    until: int = END


@dataclass(frozen=True, kw_only=True, config=_STRICT)
class Instead:
    """What holds for some plots in place of a job's own days.

    Attributes:
        plots: for which; in the file it is called `for`.
        drop: whether the job is not done there at all.
        first: other days for it.
        every: other paces.
        last: another last day.
        source: where this comes from, as in a task.
    """

    plots: Annotated[Which, Field(alias="for")]
    drop: bool = False
    first: Annotated[tuple[int, ...] | None, BeforeValidator(_as_tuple)] = None
    every: Annotated[tuple[Pace, ...] | None, BeforeValidator(_as_steps)] = None
    last: int | None = None
    source: Annotated[str, Field(min_length=1)]

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.drop == bool(self.days):
            raise ValueError("instead either drops the job or gives first, every or last anew")
        return self

    @cached_property
    def days(self) -> dict[str, Any]:
        """What it gives anew."""
        given = {"first": self.first, "every": self.every, "last": self.last}
        return {name: value for name, value in given.items() if value is not None}


@dataclass(frozen=True, kw_only=True, config=_STRICT)
class Task:
    """One job of the crop calendar.

    Attributes:
        id: the word by which texts and tables know the task.
        first: the days from planting on which it falls; several when it is done a few times at fixed ages.
        every: the paces at which it comes back after the last of `first`; empty when it does not.
        last: the age in days after which it is neither planned nor texted.
        useful: for how many days, the due day included, it may still be texted.
        min_gap: how many days must lie between two texts of this task for one plot.
        rank: 1 is what loses most if missed; smaller goes first where room is short.
        rides: on which days it may fall.
        outside_cap: whether its text stands outside the farmer's three in seven days.
        repeat_after: after how many days it is planned once more, to be dropped if it was answered.
        source: the published source by name, or "common practice, no source".
        instead: what holds for some plots; of several entries the first that means a plot.
    """

    id: Annotated[str, Field(pattern=r"^[a-z][a-z_]*$")]
    first: Annotated[tuple[int, ...], BeforeValidator(_as_tuple), Field(min_length=1)]
    every: Annotated[tuple[Pace, ...], BeforeValidator(_as_steps)] = ()
    last: Annotated[int, Field(le=END)] = END
    useful: Annotated[int, Field(ge=1)]
    min_gap: Annotated[int, Field(ge=0)] = 0
    rank: Annotated[int, Field(ge=1, le=9)]
    rides: Rides = Rides.TEXT_DAY
    outside_cap: bool = False
    repeat_after: Annotated[int, Field(ge=1)] | None = None
    source: Annotated[str, Field(min_length=1)]
    instead: tuple[Instead, ...] = ()

    @model_validator(mode="after")
    def _days_make_sense(self) -> Self:
        days = self.nominal_days
        gaps = [later - earlier for earlier, later in pairwise(days)]
        if any(gap < 1 for gap in gaps):
            raise ValueError("the days of first must rise")
        if self.rides is Rides.TEXT_DAY and any(gap < WEEK for gap in gaps):
            raise ValueError("on the weekly text day occurrences need at least 7 days between them")
        if days[-1] > self.last:
            raise ValueError(f"day {days[-1]} lies after the last day, {self.last}")
        # It can be answered for another week, and be texted on the last of its useful days.
        if self.useful + max(WEEK, self.min_gap, self.repeat_after or 0) > LOOK_BACK.days:
            raise ValueError(
                f"useful and min_gap, and useful and repeat_after, are at most {LOOK_BACK.days} days together,"
                f" and useful is at most {LOOK_BACK.days - WEEK}"
            )
        try:
            _ = self.variants
        except ValidationError as fault:
            raise ValueError(f"instead: {fault.errors()[0]['msg'].removeprefix('Value error, ')}") from fault
        return self

    @cached_property
    def variants(self) -> tuple[tuple[int, Self], ...]:
        """The job as each plot has it, by sets of plots that share none; those that do without it are in no set."""
        if not self.instead:
            return ((EVERY, self),)
        found: list[tuple[int, Self]] = []
        left = [EVERY]
        for other in self.instead:
            meant = other.plots.allowed
            if not other.drop:
                moved = replace(self, instead=(), source=other.source, **other.days)
                found += [(both, moved) for part in left if (both := common(part, meant)) is not None]
            left = [rest for part in left for rest in without(part, meant)]
        own = replace(self, instead=())
        return (*found, *((part, own) for part in left))

    @property
    def is_told_once(self) -> bool:
        """Whether each occurrence is meant for one age alone: it comes back neither at a pace nor with picking."""
        return not self.every and self.rides is not Rides.PICKING_DAYS

    def for_plot(self, traits: PlotTraits) -> Self | None:
        """Return the job as a plot has it, None if it does without."""
        return next((task for allowed, task in self.variants if belongs(traits.bits, allowed)), None)

    @cached_property
    def nominal_days(self) -> tuple[int, ...]:
        """The ages in days at which the occurrences fall, before any weekday is considered.

        The place of an age in this tuple is the occurrence's ordinal. Picking has no occurrences of its own
        beyond the first age: it falls on every picking day from then on.
        """
        days = list(self.first)
        if self.repeat_after is not None:
            days.append(days[-1] + self.repeat_after)
        while (following := self._after(days[-1])) is not None:
            days.append(following)
        return tuple(days)

    def _after(self, day: int) -> int | None:
        """Return the age of the occurrence after the one at `day`, or None when the task is over."""
        following = (day + pace.days for pace in self.every if day + pace.days <= min(pace.until, self.last))
        return next(following, None)
