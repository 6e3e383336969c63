"""What the texts of a morning are decided from: who is behind some phones, what waits for them, what they had lately.

It is fetched as rows and made into values apart from that: decided is outside of a transaction that writes, and where
the texts are kept the same rows are fetched once more. If they are equal, nothing has come in between.
"""

from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from operator import attrgetter
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, case, func, or_, select

from flows.facts import FarmerState
from service.agronomy.calendar import FLOWERS_OFF, FLOWERS_STAY, Calendar
from service.agronomy.due import PlotDays
from service.agronomy.traits import traits_of
from service.core.collecting import Collection
from service.core.model import Reminder, ReminderKey, ReminderState
from service.db.queries.by_plot import SETTLED, WAITING
from service.db.queries.collection_days import FOUND
from service.db.queries.collection_days import found as collections_of
from service.db.queries.sprays import COUNTS
from service.db.tables.collections import collection
from service.db.tables.people import farmer, farmer_phone
from service.db.tables.plots import plot, reminder
from service.db.tables.sprays import spray
from service.use_cases.planting import weekdays_of

REACHED = and_(farmer_phone.c.preferred, farmer_phone.c.until.is_(None))
_TEXTED = (ReminderState.TEXTED, ReminderState.ANSWERED)
_PEOPLE = (
    select(
        farmer_phone.c.phone_id,
        farmer.c.id,
        farmer.c.name,
        farmer.c.language,
        farmer.c.text_hour,
        farmer.c.held_out,
    )
    .join(farmer, farmer.c.id == farmer_phone.c.farmer_id)
    .where(
        farmer_phone.c.phone_id.in_(bindparam("phone_ids", expanding=True)),
        REACHED,
        farmer.c.state == FarmerState.ACTIVE,
        or_(farmer.c.paused_until.is_(None), farmer.c.paused_until <= bindparam("now")),
    )
    .order_by(farmer_phone.c.phone_id, farmer.c.id)
)
_PLOTS = (
    select(
        plot.c.id,
        plot.c.farmer_id,
        plot.c.planted_on,
        plot.c.traits,
        plot.c.mulch_kind,
        plot.c.elevation_m,
        plot.c.plants,
        plot.c.text_day,
        plot.c.picking_text_day,
        plot.c.prompt_days,
        plot.c.picking_early,
        plot.c.collection_id,
    )
    .where(
        plot.c.farmer_id.in_(bindparam("farmer_ids", expanding=True)),
        plot.c.live,
        plot.c.calendar_id == bindparam("calendar_id"),
    )
    .order_by(plot.c.farmer_id, plot.c.id)
)
_of_plots = reminder.c.plot_id.in_(bindparam("plot_ids", expanding=True))
_REMINDERS = (
    select(reminder.c.plot_id, reminder.c.due_on, reminder.c.task, reminder.c.revision, reminder.c.ordinal)
    .where(_of_plots, WAITING, reminder.c.due_on <= bindparam("on"))
    .order_by(reminder.c.plot_id)
)
_LATELY = (
    select(
        reminder.c.plot_id,
        reminder.c.task,
        func.max(reminder.c.message_day).label("texted_on"),
        func.max(case((reminder.c.state == ReminderState.ANSWERED, 1), else_=0)).label("answered"),
    )
    .where(_of_plots, SETTLED, reminder.c.due_on >= bindparam("since"), reminder.c.state.in_(_TEXTED))
    .group_by(reminder.c.plot_id, reminder.c.task)
    .order_by(reminder.c.plot_id, reminder.c.task)
)
_TOLD = (
    select(
        reminder.c.plot_id,
        reminder.c.task,
        reminder.c.revision,
        func.max(reminder.c.ordinal).label("ordinal"),
    )
    .where(
        _of_plots,
        SETTLED,
        reminder.c.task.in_(bindparam("tasks", expanding=True)),
        reminder.c.state.in_(_TEXTED),
    )
    .group_by(reminder.c.plot_id, reminder.c.task, reminder.c.revision)
    .order_by(reminder.c.plot_id, reminder.c.task, reminder.c.revision)
)
_HELD = (
    select(spray.c.plot_id, func.max(spray.c.pick_from).label("pick_from"))
    .where(
        spray.c.plot_id.in_(bindparam("plot_ids", expanding=True)),
        COUNTS,
        spray.c.sprayed_on <= bindparam("on"),
        spray.c.pick_from > bindparam("on"),
    )
    .group_by(spray.c.plot_id)
    .order_by(spray.c.plot_id)
)
_FOLLOWED = FOUND.where(collection.c.id.in_(bindparam("collection_ids", expanding=True)))


@dataclass(frozen=True, kw_only=True, slots=True)
class Lately:
    """When a task was last texted for a plot, whatever the plot's revision, and whether it was answered."""

    texted_on: date | None
    answered: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Waiting:
    """One farmer with the reminders that wait to be texted, if any, and the phone they go to.

    `plots` are the days of each by its id; `lately` says of (plot, task) what was texted since the day asked for;
    `held` names the plots from which nothing may be picked today, with the first day on which it may be again.
    `told` says of (plot, task, revision) which occurrence was texted last, of tasks that are told once; only of plots
    for which it decides. `held_out` says that they get no advice they have not asked for. `collection` is the one that
    the farmer's plots follow.
    """

    farmer_id: int
    name: str
    language: str
    text_hour: int
    phone_id: int
    held_out: bool
    plots: Mapping[int, PlotDays]
    reminders: tuple[Reminder, ...]
    lately: Mapping[tuple[int, str], Lately]
    told: Mapping[tuple[int, str, int], int]
    held: Mapping[int, date]
    collection: Collection | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Gathered:
    """What the database holds about some phones at one moment; equal to another one if nothing has changed."""

    people: Sequence[Row[*tuple[Any, ...]]]
    plots: Sequence[Row[*tuple[Any, ...]]]
    reminders: Sequence[Row[*tuple[Any, ...]]]
    lately: Sequence[Row[*tuple[Any, ...]]]
    told: Sequence[Row[*tuple[Any, ...]]]
    held: Sequence[Row[*tuple[Any, ...]]]
    collections: Sequence[Collection]

    def by_phone(self) -> dict[int, tuple[Waiting, ...]]:
        """Return by phone the farmers behind it for whom a reminder waits, or who are asked about a collection."""
        plots = _grouped(self.plots, "farmer_id")
        reminders, lately = _grouped(self.reminders, "plot_id"), _grouped(self.lately, "plot_id")
        told = _grouped(self.told, "plot_id")
        held = {row.plot_id: row.pick_from for row in self.held}
        collections = {one.id: one for one in self.collections}
        found: dict[int, tuple[Waiting, ...]] = {}
        for person in self.people:
            owned = plots.get(person.id, [])
            waiting = tuple(one for each in owned for one in _reminders(each, reminders.get(each.id, ())))
            follows = next(filter(None, (collections.get(each.collection_id) for each in owned)), None)
            if not waiting and follows is None:
                continue
            one = Waiting(
                farmer_id=person.id,
                name=person.name,
                language=person.language,
                text_hour=person.text_hour,
                phone_id=person.phone_id,
                held_out=person.held_out,
                plots={each.id: _days(each) for each in owned},
                reminders=waiting,
                lately={
                    (row.plot_id, row.task): Lately(texted_on=row.texted_on, answered=bool(row.answered))
                    for each in owned
                    for row in lately.get(each.id, ())
                },
                told={
                    (row.plot_id, row.task, row.revision): row.ordinal
                    for each in owned
                    for row in told.get(each.id, ())
                },
                held={each.id: held[each.id] for each in owned if each.id in held},
                collection=follows,
            )
            found[one.phone_id] = (*found.get(one.phone_id, ()), one)
        return found


def gather(
    connection: Connection,
    phone_ids: Sequence[int],
    *,
    on: date,
    since: date,
    now: datetime,
    calendar: Calendar,
) -> Gathered:
    """Return the farmers behind these phones, but for those who pause, with what waits and is due by `on`.

    Only plots that are planned by `calendar` are looked at. `since` bounds what counts as texted lately, by the day it
    fell due.
    """
    once = calendar.told_once
    people = connection.execute(_PEOPLE, {"phone_ids": list(phone_ids), "now": now}).all()
    plots = connection.execute(
        _PLOTS, {"farmer_ids": [person.id for person in people], "calendar_id": calendar.id}
    ).all()
    plot_ids = [row.id for row in plots]
    reminders = connection.execute(_REMINDERS, {"plot_ids": plot_ids, "on": on}).all()
    lately = connection.execute(_LATELY, {"plot_ids": plot_ids, "since": since}).all()
    # Years are read for few: for whom something waits that is told once, or that may be over since it was.
    waits, over = _plots_with(reminders, once), _plots_with(lately, {FLOWERS_STAY})
    asked = waits | over & _plots_with(reminders, {FLOWERS_OFF})
    told = connection.execute(_TOLD, {"plot_ids": list(asked), "tasks": list(once)}).all() if asked else ()
    held = connection.execute(_HELD, {"plot_ids": plot_ids, "on": on}).all()
    followed = {row.collection_id for row in plots} - {None}
    collections = (
        collections_of(connection, _FOLLOWED, {"collection_ids": list(followed)}) if followed else ()
    )
    return Gathered(
        people=people,
        plots=plots,
        reminders=reminders,
        lately=lately,
        told=told,
        held=held,
        collections=collections,
    )


def _plots_with(rows: Sequence[Row[*tuple[Any, ...]]], tasks: AbstractSet[str]) -> set[int]:
    return {row.plot_id for row in rows if row.task in tasks}


def _grouped(rows: Sequence[Row[*tuple[Any, ...]]], column: str) -> dict[int, list[Row[Any]]]:
    """Group rows by a column that they are sorted by."""
    return {key: list(group) for key, group in groupby(rows, key=attrgetter(column))}


def _days(owner: Row[*tuple[Any, ...]]) -> PlotDays:
    return PlotDays(
        planted_on=owner.planted_on,
        text_day=owner.text_day,
        picking_text_day=owner.picking_text_day,
        prompt_days=weekdays_of(owner.prompt_days),
        picking_early=owner.picking_early,
        traits=traits_of(owner.traits),
    )


def _reminders(owner: Row[*tuple[Any, ...]], rows: Sequence[Row[*tuple[Any, ...]]]) -> Iterator[Reminder]:
    for row in rows:
        yield Reminder(
            key=ReminderKey(due_on=row.due_on, task=row.task, plot_id=row.plot_id, revision=row.revision),
            ordinal=row.ordinal,
            state=ReminderState.DUE,
            place=None,
            planted_on=owner.planted_on,
            traits=owner.traits,
            mulch_kind=owner.mulch_kind,
            elevation_m=owner.elevation_m,
            plants=owner.plants,
        )
