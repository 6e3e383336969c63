"""Weights, and what they add up to."""

from datetime import date, datetime, timedelta

from sqlalchemy import Connection, and_, bindparam, func, insert, select, update

from flows.facts import Weights
from service.core.model import HarvestState, Picked
from service.db.tables.plots import harvest

YEAR = timedelta(days=365)
RECENT = timedelta(days=31)
FEWEST_FOR_MEDIAN = 5
_MEDIAN_OF_LAST = 50

_counted = and_(harvest.c.plot_id == bindparam("plot_id"), harvest.c.state == HarvestState.COUNTED)
_SUMS = select(
    func.coalesce(func.sum(harvest.c.grams), 0).label("total"),
    func.min(harvest.c.picked_on).label("first_on"),
    func.coalesce(func.sum(harvest.c.grams).filter(harvest.c.picked_on > bindparam("year_ago")), 0).label(
        "last_year"
    ),
).where(_counted, harvest.c.grams > 0)
_LATEST = (
    select(harvest.c.picked_on, harvest.c.grams)
    .where(_counted, harvest.c.grams > 0)
    .order_by(harvest.c.picked_on.desc(), harvest.c.id.desc())
    .limit(_MEDIAN_OF_LAST)
)
_LAST_SAVED = (
    select(harvest)
    .where(
        harvest.c.phone_id == bindparam("phone_id"),
        harvest.c.at >= bindparam("since"),
        harvest.c.state == HarvestState.COUNTED,
    )
    .order_by(harvest.c.at.desc(), harvest.c.id.desc())
    .limit(1)
)


class Harvests:
    """What was picked."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def weights(self, plot_id: int, on: date) -> Weights:
        """Return what a plot has borne up to `on`, as the conversation needs to know it."""
        sums = self._connection.execute(_SUMS, {"plot_id": plot_id, "year_ago": on - YEAR}).one()
        latest = self._connection.execute(_LATEST, {"plot_id": plot_id}).all()
        by_day: dict[date, int] = {}
        for row in latest:
            if row.picked_on >= on - RECENT:
                by_day[row.picked_on] = by_day.get(row.picked_on, 0) + row.grams
        return Weights(
            total=sums.total,
            first_on=sums.first_on,
            last_year=sums.last_year,
            last=latest[0].grams if latest else None,
            median=_median([row.grams for row in latest]),
            by_day=by_day,
        )

    def add(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        plot_id: int,
        picked_on: date,
        grams: int,
        state: HarvestState,
        inbound_id: int,
        phone_id: int,
        at: datetime,
    ) -> None:
        """Keep a weight."""
        self._connection.execute(
            insert(harvest).values(
                id=id,
                plot_id=plot_id,
                picked_on=picked_on,
                grams=grams,
                state=state,
                inbound_id=inbound_id,
                phone_id=phone_id,
                at=at,
            )
        )

    def count(self, harvest_id: int, grams: int) -> tuple[int, date] | None:
        """Let a weight in question count with `grams`; return its plot and day, None if it was not in question."""
        changed = self._connection.execute(
            update(harvest)
            .where(harvest.c.id == harvest_id, harvest.c.state == HarvestState.IN_QUESTION)
            .values(grams=grams, state=HarvestState.COUNTED)
            .returning(harvest.c.plot_id, harvest.c.picked_on)
        ).first()
        return (changed.plot_id, changed.picked_on) if changed else None

    def void(self, harvest_id: int, inbound_id: int) -> None:
        """Take a weight back; it stays on record."""
        self._connection.execute(
            update(harvest)
            .where(harvest.c.id == harvest_id)
            .values(state=HarvestState.VOIDED, voided_by=inbound_id)
        )

    def void_day(self, plot_id: int, on: date, inbound_id: int) -> None:
        """Take back all weights of a plot's day."""
        self._connection.execute(
            update(harvest)
            .where(
                harvest.c.plot_id == plot_id,
                harvest.c.picked_on == on,
                harvest.c.state == HarvestState.COUNTED,
            )
            .values(state=HarvestState.VOIDED, voided_by=inbound_id)
        )

    def last_saved(self, phone_id: int, since: datetime) -> tuple[int, int, date, int, datetime] | None:
        """Return (id, plot, day, grams, saved at) of the last weight a phone saved since then."""
        row = self._connection.execute(_LAST_SAVED, {"phone_id": phone_id, "since": since}).first()
        return (row.id, row.plot_id, row.picked_on, row.grams, row.at) if row else None

    def picked_since(self, plot_id: int, since: date) -> tuple[Picked, ...]:
        """Return the weights that count of a plot since a day, "nothing ripe" included."""
        rows = self._connection.execute(
            select(harvest.c.picked_on, harvest.c.grams).where(
                harvest.c.plot_id == plot_id,
                harvest.c.picked_on >= since,
                harvest.c.state == HarvestState.COUNTED,
            )
        )
        return tuple(Picked(on=row.picked_on, grams=row.grams) for row in rows)


def _median(grams: list[int]) -> int | None:
    if len(grams) < FEWEST_FOR_MEDIAN:
        return None
    ordered = sorted(grams)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) // 2
