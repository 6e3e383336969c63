"""On which days a farmer is texted as a rule, and which day is spare for a week that needs more.

The rule follows the plots: the text day while a stand is young, a picking day for the weekly jobs from two
weeks before picking, every picking day once picking is on. Several plots add up.
"""

from bisect import bisect_right
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Final

from service.agronomy.calendar import END, WEEK, Calendar
from service.agronomy.due import PlotDays

# Pushed texts per phone in any seven days.
CAP: Final = 3
CAP_DAYS: Final = timedelta(days=7)


def spare_weekday(weekdays: Collection[int]) -> int | None:
    """Return the weekday halfway through the longest stretch without one of `weekdays`.

    With one weekday that is three days after it. None when there is no weekday to begin with, or when the
    weekdays fill the cap by themselves: since all are the same every week, as many of them as the cap allows
    can never be too many in any seven days.
    """
    if not 0 < len(weekdays) < CAP:
        return None
    ordered = sorted(weekdays)
    length, start = max(
        (later - earlier, -earlier) for earlier, later in pairwise([*ordered, ordered[0] + WEEK])
    )
    return (length // 2 - start) % WEEK


# As many as there are sets of weekdays.
_spare = lru_cache(maxsize=128)(spare_weekday)


@dataclass(frozen=True, kw_only=True, slots=True)
class Phase:
    """A stretch of days with the same weekdays, up to the next phase.

    Attributes:
        begins: its first day.
        weekdays: when the farmer is texted as a rule.
        prompts: on which of them picking is asked after, which nothing may push aside.
        spare: the weekday kept for a week that needs one more text.
    """

    begins: date
    weekdays: frozenset[int]
    prompts: frozenset[int]
    spare: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Rhythm:
    """The days on which one farmer is texted as a rule, from the first phase on.

    `also` is a day besides on which picking is asked after: the evening before a collection that was moved.
    """

    phases: tuple[Phase, ...]
    also: date | None = None

    def on(self, day: date) -> Phase:
        """Return the phase that holds on `day`."""
        return self.phases[bisect_right(self.phases, day, key=lambda phase: phase.begins) - 1]

    def is_text_day(self, day: date) -> bool:
        """Say whether reminders go out on `day` as a rule."""
        return day.weekday() in self.on(day).weekdays or day == self.also

    def is_prompt_day(self, day: date) -> bool:
        """Say whether picking is asked after on `day`."""
        return day.weekday() in self.on(day).prompts or day == self.also

    def is_spare_day(self, day: date) -> bool:
        """Say whether `day` is kept for a week that needs one more text."""
        return day.weekday() == self.on(day).spare

    def text_days(self, first: date, last: date) -> Iterator[date]:
        """Walk through the text days from `first` to `last`, both included."""
        return (day for day in _days(first, last) if self.is_text_day(day))

    def chances(self, first: date, last: date) -> Iterator[date]:
        """Walk through the text days and spare days from `first` to `last`, both included."""
        return (day for day in _days(first, last) if self.is_text_day(day) or self.is_spare_day(day))


def _days(first: date, last: date) -> Iterator[date]:
    return (first + timedelta(days=step) for step in range((last - first).days + 1))


def rhythm_of(calendar: Calendar, plots: Collection[PlotDays], since: date = date.min) -> Rhythm:
    """Return the rhythm of a farmer with these plots, all under one calendar.

    It is right from `since` on: the first phase is the one that holds on that day.
    """
    turns = {turn for plot in plots for turn in _turns(calendar, plot) if turn > since}
    return Rhythm(phases=tuple(_phase(calendar, plots, begins) for begins in (since, *sorted(turns))))


def _turns(calendar: Calendar, plot: PlotDays) -> Iterator[date]:
    """Name the days on which the weekdays of a plot may change."""
    calendar = calendar.for_plot(plot.traits)
    moves = calendar.picking_from - calendar.riding_moves
    ages = (0, moves, moves + WEEK - 1, calendar.picking_from, END + 1)
    return (plot.planted_on + timedelta(days=age) for age in ages)


def _phase(calendar: Calendar, plots: Collection[PlotDays], begins: date) -> Phase:
    prompts = frozenset[int]().union(*(_prompts(calendar, plot, begins) for plot in plots))
    weekdays = prompts.union(*(_riding(calendar, plot, begins) for plot in plots))
    return Phase(begins=begins, weekdays=weekdays, prompts=prompts, spare=_spare(weekdays))


def _prompts(calendar: Calendar, plot: PlotDays, day: date) -> frozenset[int]:
    begun = 0 if plot.picking_early else calendar.for_plot(plot.traits).picking_from
    return plot.prompt_days if begun <= (day - plot.planted_on).days <= END else frozenset()


def _riding(calendar: Calendar, plot: PlotDays, day: date) -> Iterator[int]:
    """Name the weekdays of the weekly jobs.

    What was nominally due before they move may fall up to six days later, still on the text day.
    """
    calendar = calendar.for_plot(plot.traits)
    age = (day - plot.planted_on).days
    moves = calendar.picking_from - calendar.riding_moves
    if age < moves + WEEK - 1:
        yield plot.text_day
    if moves <= age <= END:
        yield plot.picking_text_day
