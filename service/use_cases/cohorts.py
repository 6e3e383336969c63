"""Is it working: the cohorts of some days, who is held out beside who is texted, and wordings side by side."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final, Protocol

from service.agronomy.calendar import PICKING, Calendar
from service.core.cohorts import Bearing, By, Cohort, Window, cohorts
from service.core.comparing import Comparison, Share, compare, needed_in_each
from service.core.comparing_means import MeanComparison, compare_means
from service.core.experiment_ports import CohortRows, ExperimentRows
from service.core.experiments import DONE_WITHIN, NO_ADVICE, Arm, Experiment
from service.use_cases.experimenting import held_out_by

# What a programme may hope for, from trials of texts to farmers: ten of a hundred more is a lot.
WORTH_SEEING: Final = 0.1


class CohortWork(Protocol):
    """A unit of work, as far as this needs it."""

    @property
    def cohorts(self) -> CohortRows:
        """Counts by cohort."""
        ...

    @property
    def experiments(self) -> ExperimentRows:
        """Experiments."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class ByLot:
    """Those who joined since lots are drawn, and told a weight: texted first, held out second.

    `kilos` compares the kilos a plant of those who told weights, held out first, each farmer counting once.
    """

    experiment: Experiment
    texted: Bearing
    held_out: Bearing
    told: Comparison
    needed: int | None
    kilos: MeanComparison


@dataclass(frozen=True, kw_only=True, slots=True)
class Wordings:
    """Two wordings side by side: which farmers did a job of their first such text within seven days.

    `needed` is how many farmers each wording needs for a difference of `WORTH_SEEING`; None while nothing is known.
    `over` says that the last day of the experiment and its seven days have passed.
    """

    experiment: Experiment
    done: Comparison
    needed: int | None
    over: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Worth:
    """All that is shown."""

    first: date
    last: date
    cohorts: tuple[Cohort, ...]
    by_lot: ByLot | None
    wordings: tuple[Wordings, ...]


def look(
    work: CohortWork,
    calendar: Calendar,
    by: By,
    *,
    first: date,
    last: date,
    districts: Collection[int] | None,
    zone: tzinfo,
) -> Worth:
    """Return how cohorts did from `first` to `last`, both in; `zone` is that of the programme."""
    bears_from = timedelta(days=calendar.by_id[PICKING].first[0])
    window = Window(first=first, last=last, planted_by=first - bears_from, districts=districts)
    rows = work.cohorts
    found = cohorts(
        rows.jobs(by, window), rows.bearing(by, window), rows.texts(by, window), rows.stops(by, window)
    )
    every = work.experiments.every()
    lot = held_out_by(every)
    return Worth(
        first=first,
        last=last,
        cohorts=found,
        by_lot=_by_lot(rows, lot, window, zone) if lot else None,
        wordings=tuple(_wordings(work, one, window) for one in every if one.topic != NO_ADVICE),
    )


def _by_lot(rows: CohortRows, lot: Experiment, window: Window, zone: tzinfo) -> ByLot:
    midnight = datetime.combine(lot.began_on, time(), zone).astimezone(UTC)
    texted, held_out = rows.by_lot(window, midnight)
    kilos_texted, kilos_held_out = rows.kilos_by_lot(window, midnight)
    return ByLot(
        experiment=lot,
        texted=texted,
        held_out=held_out,
        told=compare(held_out.logging, texted.logging),
        needed=_needed(held_out.logging),
        kilos=compare_means(kilos_held_out, kilos_texted),
    )


def _wordings(work: CohortWork, tried: Experiment, window: Window) -> Wordings:
    texts = work.experiments.first_texts(tried, window)
    first, second = (Share(count=texts[arm].done, of=texts[arm].farmers) for arm in Arm)
    over = tried.ends_on is not None and window.last > tried.ends_on + DONE_WITHIN
    return Wordings(experiment=tried, done=compare(first, second), needed=_needed(first), over=over)


def _needed(base: Share) -> int | None:
    """Return how many farmers each group needs for a difference worth seeing, where the first share is known."""
    if not base.count or base.value is None or base.value + WORTH_SEEING >= 1:
        return None
    return needed_in_each(base.value, WORTH_SEEING)
