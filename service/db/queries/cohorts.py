"""Counting by cohort: jobs, weights, texts and stops of some days, of one officer's districts.

Months are those of the planting date and, of joining, of the day in UTC. Each question goes by an index that begins
with the day, or by the plots of an age to bear.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Date,
    Float,
    Integer,
    Select,
    Subquery,
    Text,
    and_,
    case,
    cast,
    distinct,
    func,
    select,
    true,
)

from service.core.cohorts import Bearing, By, JobsOn, Window
from service.core.comparing_means import Sample
from service.core.kinds import KINDS, SENT
from service.core.model import HarvestState, ReminderState
from service.db.queries.reporting import NOT_DONE
from service.db.queries.scope import within
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.people import consent, district, farmer
from service.db.tables.plots import harvest, plot, reminder

_PUSHED: Final = tuple(kind.name for kind in KINDS.values() if kind.pushed)
_GRAMS_A_KILO: Final = 1000
_OTHER: Final = plot.alias("other")


def _month(day: ColumnElement[Any]) -> ColumnElement[str]:
    return func.substr(cast(day, Text), 1, len("2026-11"))


# Of a farmer with several plots the first one counts.
_FIRST_PLANTED: Final = (
    select(func.min(_OTHER.c.planted_on)).where(_OTHER.c.farmer_id == farmer.c.id).scalar_subquery()
)
_NAMES: Final[Mapping[By, ColumnElement[str]]] = {
    By.PLANTED: _month(_FIRST_PLANTED),
    By.JOINED: _month(farmer.c.added_at),
    By.DISTRICT: select(district.c.name).where(district.c.id == farmer.c.district_id).scalar_subquery(),
}
_HELD_OUT: Final = case((farmer.c.held_out, "held out"), else_="texted")


class Cohorts:
    """Counts by cohort."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def jobs(self, by: By, window: Window) -> tuple[JobsOn, ...]:
        """Return the jobs that were texted in these days, by how long after their text they were done."""
        # Jobs are added up plot by plot first: there are far fewer plots than jobs, and to name the cohort of each job
        # would take longer than to read it.
        each = (
            select(reminder.c.plot_id, self._after().label("after"), func.count().label("jobs"))
            .where(reminder.c.message_day.between(window.first, window.last))
            .group_by(reminder.c.plot_id, "after")
            .subquery()
        )
        found = (
            select(_NAMES[by].label("cohort"), each.c.after, func.sum(each.c.jobs).label("jobs"))
            .select_from(each)
            .join(plot, plot.c.id == each.c.plot_id)
            .join(farmer, farmer.c.id == plot.c.farmer_id)
            .where(~farmer.c.held_out, within(window.districts))
            .group_by("cohort", each.c.after)
        )
        return tuple(
            JobsOn(cohort=row.cohort, after=row.after, jobs=int(row.jobs))
            for row in self._connection.execute(found)
        )

    def _after(self) -> ColumnElement[int | None]:
        """Return how many days after its text a job was done; null where it was not."""
        done = and_(reminder.c.state == ReminderState.ANSWERED, reminder.c.answer != NOT_DONE)
        done_on = func.substr(cast(reminder.c.answered_at, Text), 1, len("2026-11-28"))
        if self._connection.dialect.name == "sqlite":
            days = func.julianday(done_on) - func.julianday(reminder.c.message_day)
            return case((done, cast(days, Integer)))
        return case((done, cast(done_on, Date) - reminder.c.message_day))

    def bearing(self, by: By, window: Window) -> dict[str, Bearing]:
        """Return who had plants of an age to bear, and what they told."""
        return self._bearing(_NAMES[by], window, ~farmer.c.held_out)

    def by_lot(self, window: Window, added_since: datetime) -> tuple[Bearing, Bearing]:
        """Return the same of all who joined since lots are drawn: those who are texted, and those held out."""
        found = self._bearing(_HELD_OUT, window, farmer.c.added_at >= added_since)
        return found.get("texted", Bearing()), found.get("held out", Bearing())

    def kilos_by_lot(self, window: Window, added_since: datetime) -> tuple[Sample, Sample]:
        """Return kilos a plant of each of the same who told weights: of those texted, and of those held out."""
        told = _told(window)
        grams, plants = cast(func.sum(told.c.grams), Float), func.sum(plot.c.plants)
        each = (
            select(farmer.c.held_out, (grams / _GRAMS_A_KILO / plants).label("kilos"))
            .select_from(plot)
            .join(farmer, farmer.c.id == plot.c.farmer_id)
            .join(told, told.c.plot_id == plot.c.id)
            .where(
                plot.c.live == true(),
                plot.c.planted_on <= window.planted_by,
                farmer.c.added_at >= added_since,
                within(window.districts),
            )
            .group_by(farmer.c.id, farmer.c.held_out)
            .subquery()
        )
        found = select(
            each.c.held_out,
            func.count().label("of"),
            func.sum(each.c.kilos).label("sum"),
            func.sum(each.c.kilos * each.c.kilos).label("squares"),
        ).group_by(each.c.held_out)
        samples = {
            bool(row.held_out): Sample(of=row.of, sum=row.sum, squares=row.squares)
            for row in self._connection.execute(found)
        }
        return samples.get(False, Sample()), samples.get(True, Sample())

    def _bearing(
        self, name: ColumnElement[str], window: Window, whom: ColumnElement[bool]
    ) -> dict[str, Bearing]:
        told = _told(window)
        tells = told.c.plot_id.is_not(None)
        found = (
            select(
                name.label("cohort"),
                func.count(distinct(plot.c.farmer_id)).label("farmers"),
                func.count(distinct(case((tells, plot.c.farmer_id)))).label("told"),
                func.sum(plot.c.plants).label("plants"),
                func.sum(case((tells, plot.c.plants), else_=0)).label("plants_told"),
                func.count(told.c.plot_id).label("plots_told"),
                func.coalesce(func.sum(told.c.grams), 0).label("grams"),
            )
            .select_from(plot)
            .join(farmer, farmer.c.id == plot.c.farmer_id)
            .outerjoin(told, told.c.plot_id == plot.c.id)
            .where(
                plot.c.live == true(), plot.c.planted_on <= window.planted_by, whom, within(window.districts)
            )
            .group_by("cohort")
        )
        return {row.cohort: _bearing_of(row) for row in self._connection.execute(found)}

    def texts(self, by: By, window: Window) -> dict[str, int]:
        """Return how many texts we began with left on these days."""
        found = (
            select(_NAMES[by].label("cohort"), func.count().label("count"))
            .select_from(message)
            .join(farmer, farmer.c.id == message.c.farmer_id)
            .where(
                message.c.queued_on.between(window.first, window.last),
                message.c.kind.in_(_PUSHED),
                message.c.state.in_(SENT),
            )
        )
        return self._counts(found, window)

    def stops(self, by: By, window: Window) -> dict[str, int]:
        """Return how many farmers ended all texts on these days."""
        found = (
            select(_NAMES[by].label("cohort"), func.count(distinct(farmer.c.id)).label("count"))
            .select_from(consent)
            .join(farmer, farmer.c.id == consent.c.farmer_id)
            # As it stands in the condition of the index.
            .where(
                consent.c.answer == only("stopped"),
                consent.c.purpose == "texts",
                consent.c.on_day.between(window.first, window.last),
            )
        )
        return self._counts(found, window)

    def _counts(self, found: Select[*tuple[Any, ...]], window: Window) -> dict[str, int]:
        found = found.where(~farmer.c.held_out, within(window.districts)).group_by("cohort")
        return {row["cohort"]: row["count"] for row in self._connection.execute(found).mappings()}


def _told(window: Window) -> Subquery:
    """Return the grams of these days that count, by plot."""
    return (
        select(harvest.c.plot_id, func.sum(harvest.c.grams).label("grams"))
        .where(
            harvest.c.picked_on.between(window.first, window.last),
            harvest.c.state == HarvestState.COUNTED,
        )
        .group_by(harvest.c.plot_id)
        .subquery()
    )


def _bearing_of(row: Any) -> Bearing:
    names = ("farmers", "told", "plants", "plants_told", "plots_told", "grams")
    return Bearing(**{name: int(getattr(row, name)) for name in names})
