"""Weights, and what they add up to."""

from datetime import date, datetime, timedelta

from sqlalchemy import Connection, and_, bindparam, case, func, insert, select, update

from flows.facts import Weights
from service.core.model import HarvestState, Picked
from service.core.plot_ports import ToldWeight
from service.core.saved import SavedWeight
from service.db.tables.plots import harvest

YEAR = timedelta(days=365)
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
_PICKED_SINCE = select(harvest.c.picked_on, harvest.c.grams).where(
    _counted, harvest.c.picked_on >= bindparam("since")
)
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
        harvest.c.state != HarvestState.VOIDED,
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
            by_day[row.picked_on] = by_day.get(row.picked_on, 0) + row.grams
        return Weights(
            total=sums.total,
            first_on=sums.first_on,
            last_year=sums.last_year,
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
        inbound_id: int | None,
        phone_id: int | None,
        officer_id: int | None = None,
        at: datetime,
    ) -> None:
        """Keep a weight: of a text from a phone, or told to an officer."""
        self._connection.execute(
            insert(harvest).values(
                id=id,
                plot_id=plot_id,
                picked_on=picked_on,
                grams=grams,
                state=state,
                inbound_id=inbound_id,
                phone_id=phone_id,
                officer_id=officer_id,
                at=at,
            )
        )

    def count(self, harvest_id: int, grams: int, at: datetime) -> tuple[int, date]:
        """Let a weight in question count with `grams`; return its plot and day."""
        changed = self._connection.execute(
            update(harvest)
            .where(harvest.c.id == harvest_id, harvest.c.state == HarvestState.IN_QUESTION)
            .values(grams=grams, state=HarvestState.COUNTED, at=at)
            .returning(harvest.c.plot_id, harvest.c.picked_on)
        ).one()
        return changed.plot_id, changed.picked_on

    def told(self, plot_id: int, harvest_id: int) -> ToldWeight | None:
        """Return a weight of a plot that an officer has entered."""
        row = self._connection.execute(
            select(harvest).where(
                harvest.c.id == harvest_id,
                harvest.c.plot_id == plot_id,
                harvest.c.officer_id.is_not(None),
            )
        ).first()
        if row is None:
            return None
        return ToldWeight(on=row.picked_on, grams=row.grams, state=HarvestState(row.state))

    def void(self, harvest_id: int, inbound_id: int | None) -> tuple[int, date]:
        """Take a weight back and let those count again that it took the place of; return its plot and day.

        No text takes back what an officer does.
        """
        # A weight in question counted for nothing: marked with its own text, it never comes back with another.
        marked = case((harvest.c.state == HarvestState.IN_QUESTION, harvest.c.inbound_id), else_=inbound_id)
        gone = self._connection.execute(
            update(harvest)
            .where(harvest.c.id == harvest_id)
            .values(state=HarvestState.VOIDED, voided_by=marked)
            .returning(harvest.c.plot_id, harvest.c.picked_on, harvest.c.inbound_id)
        ).one()
        self._connection.execute(
            update(harvest)
            .where(
                harvest.c.plot_id == gone.plot_id,
                harvest.c.picked_on == gone.picked_on,
                harvest.c.voided_by == gone.inbound_id,
                harvest.c.id != harvest_id,
            )
            .values(state=HarvestState.COUNTED, voided_by=None)
        )
        return gone.plot_id, gone.picked_on

    def replace_day(self, harvest_id: int) -> None:
        """Let a weight take the place of all others of its day."""
        kept = self._connection.execute(select(harvest).where(harvest.c.id == harvest_id)).one()
        self._connection.execute(
            update(harvest)
            .where(
                harvest.c.plot_id == kept.plot_id,
                harvest.c.picked_on == kept.picked_on,
                harvest.c.id != harvest_id,
                harvest.c.state == HarvestState.COUNTED,
            )
            .values(state=HarvestState.VOIDED, voided_by=kept.inbound_id)
        )

    def last_saved(self, phone_id: int, since: datetime) -> SavedWeight | None:
        """Return the last weight a phone saved since then."""
        row = self._connection.execute(_LAST_SAVED, {"phone_id": phone_id, "since": since}).first()
        if row is None:
            return None
        replaced = self._connection.execute(
            select(func.coalesce(func.sum(harvest.c.grams), 0)).where(
                harvest.c.plot_id == row.plot_id,
                harvest.c.picked_on == row.picked_on,
                harvest.c.voided_by == row.inbound_id,
                harvest.c.id != row.id,
            )
        )
        return SavedWeight(
            id=row.id,
            plot_id=row.plot_id,
            on=row.picked_on,
            grams=row.grams,
            in_question=row.state == HarvestState.IN_QUESTION,
            replaced=int(replaced.scalar_one()),
            at=row.at,
        )

    def picked_since(self, plot_id: int, since: date) -> tuple[Picked, ...]:
        """Return the weights that count of a plot since a day, "nothing ripe" included."""
        rows = self._connection.execute(_PICKED_SINCE, {"plot_id": plot_id, "since": since})
        return tuple(Picked(on=row.picked_on, grams=row.grams) for row in rows)


def _median(grams: list[int]) -> int | None:
    if len(grams) < FEWEST_FOR_MEDIAN:
        return None
    ordered = sorted(grams)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) // 2
