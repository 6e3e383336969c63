"""An officer enters, completes or takes back a spray that a farmer told of by voice, with the rules of one told by text.

It concerns one plot, which the officer has asked for; only what a label says counts for all plots of the same spray.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from flows.spraying import FEWEST_DAYS, MOST_DAYS
from service.core.errors import Refused
from service.core.ports import Work
from service.core.spraying import KeptSpray, NewSpray
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.spraying import keep_sprays, obey, pick_from, tell_days
from service.use_cases.tools import Tools

OLDEST: Final = timedelta(days=MOST_DAYS)
_GONE: Final = "That spray has been taken back already."


@dataclass(frozen=True, kw_only=True, slots=True)
class Deed:
    """Who does it and when: `on` is the plot's local day, `now` service time, `real_now` real time for the record."""

    officer: Officer
    on: date
    now: datetime
    real_now: datetime


def enter_spray(
    work: Work, tools: Tools, deed: Deed, plot_id: int, *, sprayed_on: date, label_days: int | None
) -> None:
    """Keep a spray on a plot; one that is kept so already is not kept twice.

    Raises:
        Refused: the plot is closed, or a value cannot be.
    """
    plot = work.plots.get(plot_id)
    if plot is None or plot.closed_on is not None:
        raise Refused("This plot is closed: nothing is picked from it any more.")
    if not deed.on - OLDEST <= sprayed_on <= deed.on:
        raise Refused(f"A spray lies within the last {OLDEST.days} days: give another day.")
    _check(label_days)
    there = work.sprays.on_plots([plot_id], sprayed_on)
    if any((one.sprayed_on, one.label_days) == (sprayed_on, label_days) for one in there):
        return
    spray = NewSpray(
        id=tools.ids.row(),
        plot_id=plot_id,
        sprayed_on=sprayed_on,
        label_days=label_days,
        pick_from=pick_from(tools, sprayed_on, label_days),
        officer_id=deed.officer.id,
        at=deed.now,
    )
    keep_sprays(work, [spray], deed.on, deed.now)
    told = {"sprayed_on": sprayed_on.isoformat(), "label_days": label_days}
    note(work, deed.officer, "spray.entered", f"plot:{plot_id}", told, at=deed.real_now)
    work.commit()


def complete_spray(work: Work, tools: Tools, deed: Deed, spray_id: int, label_days: int | None) -> None:
    """Keep what the label of a spray says, on all plots it was told for.

    Raises:
        Refused: it was taken back, or no label says so.
    """
    _check(label_days)
    before = tell_days(work, tools, spray_id, label_days, on=deed.on, now=deed.now)
    if not before:
        raise Refused(_GONE)
    told = {"label_days": [before[0].label_days, label_days]}
    note(work, deed.officer, "spray.completed", _subject(before[0]), told, at=deed.real_now)
    work.commit()


def take_spray_back(work: Work, deed: Deed, spray: KeptSpray) -> None:
    """Take a spray back on its plot; whoever calls has found it standing there."""
    work.sprays.void([spray.id], deed.now, None)
    obey(work, [spray.plot_id], deed.on, deed.now)
    told = {"sprayed_on": spray.sprayed_on.isoformat(), "label_days": spray.label_days}
    note(work, deed.officer, "spray.taken_back", _subject(spray), told, at=deed.real_now)
    work.commit()


def _check(label_days: int | None) -> None:
    if label_days is not None and not FEWEST_DAYS <= label_days <= MOST_DAYS:
        raise Refused(
            f"The label's days lie between {FEWEST_DAYS} and {MOST_DAYS}; leave them out if unknown."
        )


def _subject(spray: KeptSpray) -> str:
    return f"plot:{spray.plot_id}"
