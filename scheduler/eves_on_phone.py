"""Evenings before a collection on a phone of several farmers: who brings fruit is asked before others get their jobs.

A question about a collection is worth nothing a day later, and jobs can wait. So whoever is asked on an evening comes
first that day, and the cap of the days before is kept for the phone's coming evenings.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from scheduler.compose import Reason
from scheduler.eve import Eve, eve_of
from service.agronomy.calendar import PICKING, WEEK, Calendar
from service.agronomy.rhythm import CAP, rhythm_of
from service.core.model import Reminder
from service.db.queries.waiting import Waiting

_DAY: Final = timedelta(days=1)


def asked_first(calendar: Calendar, on_phone: Sequence[Waiting], day: date) -> list[Waiting]:
    """Return the farmers of a phone in the order in which their texts of `day` are decided."""
    return sorted(on_phone, key=lambda one: not _is_asked(calendar, one, day))


def evenings_kept(
    calendar: Calendar, one: Waiting, on_phone: Sequence[Waiting], day: date
) -> frozenset[date]:
    """Return for which days after `day` the phone's cap is kept from the texts of one farmer.

    None is kept from a farmer who is asked on `day` itself: that question is worth as much as the next.
    """
    if _is_asked(calendar, one, day):
        return frozenset()
    week = [day + step * _DAY for step in range(1, WEEK)]
    return frozenset(later for each in on_phone for later in week if _is_asked(calendar, each, later))


def why_not_asked(
    reminder: Reminder,
    one: Waiting,
    eve: Eve | None,
    on_phone: Sequence[Waiting],
    pushed: Sequence[date],
) -> Reason | None:
    """Return why picking, due by a collection, is not asked after any more: its day is called off, moved or too near.

    Args:
        reminder: what was due.
        one: whose it is.
        eve: what is asked today, None where no fruit is collected on the day after.
        on_phone: all farmers of the phone.
        pushed: the days of texts under the cap to the phone, a week before the evening on which it was due included.
    """
    if one.collection is None or reminder.key.task != PICKING or eve is not None:
        return None
    due_on = reminder.key.due_on
    if not one.collection.is_on(due_on + _DAY):
        return Reason.NO_COLLECTION
    if any(each is not one and _was_asked(each, due_on) for each in on_phone):
        return Reason.ASKED_NEXT
    if due_on in pushed:
        return Reason.PHONE_HAD_ONE
    week = sum(due_on - (WEEK - 1) * _DAY <= one_day <= due_on for one_day in pushed)
    return Reason.PHONE_HAD_ALL if week >= CAP else Reason.NOT_ASKED


def _is_asked(calendar: Calendar, one: Waiting, day: date) -> bool:
    """Return whether a farmer is asked on the evening of a day: fruit is collected on the next, and a plot bears."""
    if one.held_out or eve_of(one, day) is None:
        return False
    return bool(rhythm_of(calendar, one.plots.values(), day).on(day).prompts)


def _was_asked(one: Waiting, day: date) -> bool:
    if one.collection is None:
        return False
    lately = (one.lately.get((plot, PICKING)) for plot in one.plots)
    return any(last is not None and last.texted_on == day for last in lately)
