"""What the pages show of sprays: a plot's own, and the holds that run in an officer's districts."""

from dataclasses import dataclass, fields
from datetime import date
from typing import Final

from sqlalchemy import ColumnElement, Connection, Select, func, select

from service.core.model import HarvestState
from service.db.queries.sprays import COUNTS
from service.db.tables.people import district, farmer
from service.db.tables.plots import harvest, plot
from service.db.tables.sprays import spray
from service.db.tables.staff import officer


@dataclass(frozen=True, kw_only=True, slots=True)
class SprayLine:
    """A spray on a plot, taken back or not; `officer` was told of it by voice, if one was."""

    id: int
    sprayed_on: date
    label_days: int | None
    pick_from: date
    officer: str | None
    taken_back: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class HoldLine:
    """A plot from which nothing may be picked today.

    Attributes:
        pick_from: the first day on which it may be again.
        unknown: whether the label of one of its sprays is not known.
        grams: what was picked from it all the same, in the holds that run.
    """

    farmer_id: int
    farmer: str
    district: str
    plot_id: int
    sprayed_on: date
    pick_from: date
    unknown: bool
    grams: int


_OF_PLOT: Final = (
    select(
        spray.c.id,
        spray.c.sprayed_on,
        spray.c.label_days,
        spray.c.pick_from,
        officer.c.name.label("officer"),
        spray.c.voided_at.is_not(None).label("taken_back"),
    )
    .outerjoin(officer, officer.c.id == spray.c.officer_id)
    .order_by(spray.c.sprayed_on.desc(), spray.c.id.desc())
)


def sprays_of_plot(
    connection: Connection, plot_id: int, limit: int, own: Select[tuple[int]]
) -> tuple[SprayLine, ...]:
    """Return the last sprays on a plot that is one of `own`, the latest first."""
    found = _OF_PLOT.where(spray.c.plot_id == plot_id, spray.c.plot_id.in_(own)).limit(limit)
    return tuple(SprayLine(**row) for row in connection.execute(found).mappings())


def holds(
    connection: Connection, theirs: ColumnElement[bool], on: date, limit: int, offset: int = 0
) -> tuple[HoldLine, ...]:
    """Return the plots that are held on a day, the one that is free last at the end."""
    running = (
        select(
            spray.c.plot_id,
            func.min(spray.c.sprayed_on).label("sprayed_on"),
            func.max(spray.c.pick_from).label("pick_from"),
            (func.count() > func.count(spray.c.label_days)).label("unknown"),
        )
        .where(COUNTS, spray.c.pick_from > on, spray.c.sprayed_on <= on)
        .group_by(spray.c.plot_id)
        .subquery()
    )
    picked = (
        select(func.coalesce(func.sum(harvest.c.grams), 0))
        .where(
            harvest.c.plot_id == running.c.plot_id,
            harvest.c.picked_on >= running.c.sprayed_on,
            harvest.c.in_hold,
            harvest.c.state == HarvestState.COUNTED,
        )
        .correlate(running)
        .scalar_subquery()
    )
    found = (
        select(
            plot.c.farmer_id,
            farmer.c.name.label("farmer"),
            district.c.name.label("district"),
            running,
            picked.label("grams"),
        )
        .join(plot, plot.c.id == running.c.plot_id)
        .join(farmer, farmer.c.id == plot.c.farmer_id)
        .join(district, district.c.id == farmer.c.district_id)
        .where(theirs, plot.c.closed_on.is_(None))
        .order_by(running.c.pick_from, plot.c.id)
        .limit(limit)
        .offset(offset)
    )
    names = [field.name for field in fields(HoldLine)]
    rows = connection.execute(found).mappings()
    return tuple(HoldLine(**{name: row[name] for name in names}) for row in rows)
