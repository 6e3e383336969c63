"""Plots that follow a collection: their picking is asked after on the evenings before its days.

A plot's prompt days are those evenings then, and its weekly jobs ride on one of them, so that planning a day, the cap
and the merge go on as they are. The farmer's own picking days stay beside them and hold again when the collection is
over. It is put in order once a day before the day is planned, and at once when a collection is set or changed.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.collecting import Coming
from service.agronomy.calendar import PICKING, Calendar
from service.agronomy.due import is_due, picking_text_day
from service.core.collecting import Collection
from service.core.columns import PlotChange
from service.core.model import Plot
from service.core.ports import Work
from service.use_cases.planting import WEEK, mask_of, plot_days, weekdays_of

# The local hour at which is asked on the evening before: common practice, no source.
ASKED_AT: Final = 17
_DAY: Final = timedelta(days=1)


def eve_columns(collection: Collection) -> Mapping[int, Mapping[str, int]]:
    """Return by text day the weekday columns of a plot that follows a collection."""
    eves = collection.eves
    return {
        text_day: {"prompt_days": mask_of(eves), "picking_text_day": picking_text_day(text_day, eves)}
        for text_day in range(WEEK)
    }


def own_columns(plot: Plot) -> PlotChange:
    """Return the weekday columns of a plot that follows none any more: the farmer's own picking days hold again."""
    own = weekdays_of(plot.pick_days)
    return {
        "collection_id": None,
        "prompt_days": plot.pick_days,
        "picking_text_day": picking_text_day(plot.text_day, own),
    }


def follow(work: Work, zone: str, day: date) -> None:
    """Let the plots of a zone follow the collections that lead on a day, and no others; it does not commit."""
    collections = work.collections.of_zone(zone)
    leading = [one for one in collections if one.leads(day)]
    for one in collections:
        for plot in work.collections.strays(one.id, one.group_id if one in leading else None):
            work.plots.set(plot.id, **own_columns(plot))
    for one in leading:
        work.collections.lead(one, eve_columns(one))


def ask_for_changed(work: Work, calendar: Calendar, zone: str, day: date) -> None:
    """Let be asked about days that are not those of the weekdays: `day` is the evening before; it does not commit."""
    for one in work.collections.of_zone(zone):
        if day + _DAY in one.changes.values():
            ask_on(work, calendar, one, day)


def ask_on(work: Work, calendar: Calendar, collection: Collection, day: date) -> None:
    """Let the farmers of a collection be asked on the evening of `day`, where their plots bear; it does not commit."""
    for plot in work.collections.plots(collection.id):
        if bears(calendar, plot, day):
            work.planning.insert_for_plot(day, plot.id, plot.revision, PICKING, 0)


def bears(calendar: Calendar, plot: Plot, day: date) -> bool:
    """Return whether picking is asked after on a plot of that age, whatever the weekday."""
    task = calendar.by_id.get(PICKING)
    days = replace(plot_days(plot), prompt_days=frozenset({day.weekday()}))
    return task is not None and is_due(calendar, task, days, day) is not None


def coming(work: Work, collection: Collection, farmer_id: int, now: datetime) -> Coming | None:
    """Return the next day that a farmer can bring fruit to: today only until its hour, None where none is in sight."""
    here = now.astimezone(ZoneInfo(collection.zone))
    first = here.date() if here.hour < collection.hour else here.date() + _DAY
    on = collection.next_on(first)
    if on is None:
        return None
    return Coming(on=on, place=collection.place, hour=collection.hour, grams=work.estimates.of(farmer_id, on))
