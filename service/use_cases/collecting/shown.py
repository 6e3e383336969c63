"""The picking days of a plot as people see them: those of the collection it follows, not the evenings before them.

`service.use_cases.collecting.following` lets a plot's prompt days be those evenings, which only the planner needs.
"""

from dataclasses import replace
from datetime import date

from service.agronomy.due import PlotDays
from service.core.collecting import Collection


def usual_days(plot: PlotDays, collection: Collection | None) -> PlotDays:
    """Return a plot with its picking on the weekdays of its collection, for years ahead."""
    return plot if collection is None else replace(plot, prompt_days=collection.weekdays)


def is_picked_on(day: date, own_days: int, collection: Collection) -> bool:
    """Return whether fruit of a plot is picked on a day near by: its own days hold again once the collection is over.

    `own_days` are weekdays as bits, bit 0 is Monday.
    """
    if collection.last_on is not None and day > collection.last_on:
        return bool(own_days >> day.weekday() & 1)
    return collection.is_on(day)
