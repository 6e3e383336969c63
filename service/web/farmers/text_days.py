"""On which days and from what hour a farmer is texted, as the planner does it, in words for the page."""

from collections.abc import Collection as Several
from collections.abc import Set as AbstractSet
from datetime import date
from typing import Final

from service.agronomy.calendar import Calendar
from service.agronomy.due import PlotDays
from service.agronomy.rhythm import Phase, rhythm_of
from service.core.collecting import Collection
from service.use_cases.collecting.following import ASKED_AT
from service.web.words import full_day, weekday

_NOBODY: Final = "on no day"


def text_days(
    calendar: Calendar, plots: Several[PlotDays], hour: int, collection: Collection | None, today: date
) -> str:
    """Return the days as they are now, and from when on they will be others.

    Args:
        calendar: that of the plots.
        plots: all of the farmer's that are texted about.
        hour: the local hour of the texts of a morning.
        collection: the one that the farmer's plots follow.
        today: the farmer's day.
    """
    now, *later = rhythm_of(calendar, plots, today).phases
    told = _said(now, hour, collection)
    turn = next((phase for phase in later if _said(phase, hour, collection) != told), None)
    if turn is None:
        return told
    return f"{told}; from {full_day(turn.begins)} {_said(turn, hour, collection)}"


def _said(phase: Phase, hour: int, collection: Collection | None) -> str:
    eves = phase.prompts & collection.eves if collection is not None else frozenset[int]()
    parts = []
    if eves:
        parts.append(f"{_named(eves)} from {ASKED_AT}:00, the evening before a collection")
    if phase.weekdays - eves:
        parts.append(f"{_named(phase.weekdays - eves)} from {hour}:00")
    return " and ".join(parts) or _NOBODY


def _named(days: AbstractSet[int]) -> str:
    names = [f"{weekday(day)}s" for day in sorted(days)]
    return "on " + " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
