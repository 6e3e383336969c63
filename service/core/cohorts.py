"""How farmers who began alike are doing: jobs asked and done, weights told, kilos a plant, and who stopped.

A cohort is all whose first plot was planted in one month, or who joined in one month, or who live in one district.
Farmers who are held out of advice stand in no cohort; they are what the others are compared with.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.core.comparing import Share

WEEK = 7
_GRAMS_A_KILO = 1000


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """The days that are looked at, from `first` to `last`, both in, and whose.

    Attributes:
        planted_by: plants set by then were of an age to bear from `first` on.
        districts: those of an officer; None for all.
    """

    first: date
    last: date
    planted_by: date
    districts: Collection[int] | None


class By(StrEnum):
    """What makes a cohort."""

    PLANTED = "planted"
    JOINED = "joined"
    DISTRICT = "district"


@dataclass(frozen=True, kw_only=True, slots=True)
class JobsOn:
    """Jobs of a cohort that were done so many days after their text; None for those not done."""

    cohort: str
    after: int | None
    jobs: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Bearing:
    """Farmers of a cohort whose plants were of an age to bear all the time, and what they told.

    Attributes:
        farmers: how many, and `told` those of them who told a weight.
        plants: on all their plots.
        plants_told: on the plots of which a weight was told.
        plots_told: how many plots these are.
        grams: of the weights that count.
    """

    farmers: int = 0
    told: int = 0
    plants: int = 0
    plants_told: int = 0
    plots_told: int = 0
    grams: int = 0

    @property
    def logging(self) -> Share:
        """How many of them told a weight."""
        return Share(count=self.told, of=self.farmers)

    @property
    def kg_a_plant(self) -> float | None:
        """Kilos a plant where a weight was told; None where nobody told any."""
        return self.grams / _GRAMS_A_KILO / self.plants_told if self.plants_told else None

    @property
    def kg_at_least(self) -> float | None:
        """Kilos a plant if whoever told nothing has picked nothing."""
        return self.grams / _GRAMS_A_KILO / self.plants if self.plants else None


@dataclass(frozen=True, kw_only=True, slots=True)
class Cohort:
    """One cohort in some days.

    Attributes:
        asked: jobs that were texted, and `done` those done since.
        in_a_week: those done within seven days of the text.
        usual_days: half of those that were done were done within so many days; None where none was.
        texts: texts we began with that left, and `stops` how many farmers stopped all texts.
    """

    name: str
    asked: int
    done: int
    in_a_week: int
    usual_days: int | None
    bearing: Bearing
    texts: int
    stops: int

    @property
    def stops_a_thousand(self) -> float | None:
        """Farmers who stopped, for each thousand texts; None without texts."""
        return 1000 * self.stops / self.texts if self.texts else None


def cohorts(
    jobs: Iterable[JobsOn],
    bearing: Mapping[str, Bearing],
    texts: Mapping[str, int],
    stops: Mapping[str, int],
) -> tuple[Cohort, ...]:
    """Put together what was counted, by the names of the cohorts."""
    by_name: dict[str, list[JobsOn]] = {}
    for one in jobs:
        by_name.setdefault(one.cohort, []).append(one)
    names = sorted(by_name.keys() | bearing.keys() | texts.keys() | stops.keys())
    return tuple(
        _cohort(
            name,
            by_name.get(name, []),
            bearing.get(name, Bearing()),
            texts.get(name, 0),
            stops.get(name, 0),
        )
        for name in names
    )


def _cohort(name: str, jobs: list[JobsOn], bearing: Bearing, texts: int, stops: int) -> Cohort:
    after: dict[int, int] = {}
    for one in jobs:
        if one.after is not None:
            # A job may have been done before its text was sent, in the same night.
            days = max(0, one.after)
            after[days] = after.get(days, 0) + one.jobs
    return Cohort(
        name=name,
        asked=sum(one.jobs for one in jobs),
        done=sum(after.values()),
        in_a_week=sum(count for days, count in after.items() if days < WEEK),
        usual_days=_middle(after),
        bearing=bearing,
        texts=texts,
        stops=stops,
    )


def _middle(after: Mapping[int, int]) -> int | None:
    """Return the number of days within which half of the jobs were done."""
    half, seen = sum(after.values()) / 2, 0
    for days in sorted(after):
        seen += after[days]
        if seen >= half:
            return days
    return None
