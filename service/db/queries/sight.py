"""What one officer may see: queries that only read, all of them bound to the officer's districts.

What belongs to no district, like a stranger's question, is seen by those who have all districts.
"""

from datetime import date, datetime
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Executable, Select, func, literal_column, select

from flows.facts import FarmerState
from service.core.model import HarvestState
from service.db.queries.console_farmer import FarmerConsole
from service.db.queries.console_sprays import HoldLine, holds
from service.db.queries.console_values import (
    Cohort,
    DoubtfulWeight,
    FarmerPage,
    Holder,
    Search,
    SilentLine,
    TextInDoubt,
    Waiting,
)
from service.db.queries.doubts import LOOKED_AT
from service.db.queries.questions import IS_OPEN, LINES, URGENT_FIRST, question_of, theirs
from service.db.queries.register import Register
from service.db.queries.scope import Districts, within
from service.db.queries.silent import Silent
from service.db.queries.stuck import Stuck
from service.db.queries.unsettled import IN_DOUBT
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, phone
from service.db.tables.plots import harvest, plot

# Written out, not bound: the engines use a partial index only for a condition they can see is its own.
_IN_QUESTION: Final = harvest.c.state == literal_column(f"'{HarvestState.IN_QUESTION}'")

_QUESTIONS: Final = LINES.where(IS_OPEN).order_by(*URGENT_FIRST)
_WEIGHTS: Final = (
    select(
        harvest.c.grams,
        harvest.c.picked_on,
        harvest.c.at,
        plot.c.plants,
        plot.c.farmer_id,
        farmer.c.name.label("farmer"),
        district.c.name.label("district"),
    )
    .join(plot, plot.c.id == harvest.c.plot_id)
    .join(farmer, farmer.c.id == plot.c.farmer_id)
    .join(district, district.c.id == farmer.c.district_id)
    .where(_IN_QUESTION)
    .order_by(harvest.c.at, harvest.c.id)
)
_DOUBTS: Final = (
    select(
        message.c.farmer_id,
        message.c.kind,
        message.c.text,
        message.c.state_at.label("since"),
        farmer.c.name.label("farmer"),
        phone.c.last3,
    )
    .join(phone, phone.c.id == message.c.phone_id)
    .outerjoin(farmer, farmer.c.id == message.c.farmer_id)
    .where(IN_DOUBT, ~LOOKED_AT)
    .order_by(message.c.priority, message.c.state_at)
)
_COHORTS: Final = (
    select(plot.c.planted_on, func.count().label("plots"))
    .where(plot.c.live)
    .group_by(plot.c.planted_on)
    .order_by(plot.c.planted_on)
)

Value = TypeVar("Value")


class Sight:
    """Reads for one officer."""

    def __init__(self, connection: Connection, districts: Districts) -> None:
        """Read in an open transaction what lies in `districts`; None for all."""
        self._connection = connection
        self._districts = districts
        self._theirs = within(districts)

    def waiting(self, limit: int) -> Waiting:
        """Return what needs a person: at most `limit` of each list, and the whole counts."""
        weights, doubts = (one.where(self._theirs) for one in (_WEIGHTS, _DOUBTS))
        questions = _QUESTIONS.where(theirs(self._districts))
        return Waiting(
            questions=tuple(question_of(row) for row in self._connection.execute(questions.limit(limit))),
            weights=self._all(DoubtfulWeight, weights.limit(limit)),
            doubts=self._all(TextInDoubt, doubts.limit(limit)),
            question_count=self._count(questions),
            weight_count=self._count(weights),
            doubt_count=self._count(doubts),
            failed_count=Stuck(self._connection).failed_count(self._districts),
        )

    def cohorts(self) -> tuple[Cohort, ...]:
        """Return how many live plots were planted on each day, in the order of the days."""
        # Whoever sees all needs no join over all plots.
        everywhere = self._districts is None
        return self._all(Cohort, _COHORTS if everywhere else _COHORTS.join(farmer).where(self._theirs))

    def silent(self, now: datetime, limit: int, offset: int = 0) -> tuple[SilentLine, ...]:
        """Return farmers of whom nothing has been heard for long, the longest silent first."""
        return Silent(self._connection, self._theirs).lines(now, limit, offset)

    def holds(self, on: date, limit: int) -> tuple[HoldLine, ...]:
        """Return the plots from which nothing may be picked on a day, the first to be free first."""
        return holds(self._connection, self._theirs, on, limit)

    def register(self, search: Search) -> FarmerPage:
        """Return one page of the farmers that are looked for."""
        return Register(self._connection, self._theirs).page(search)

    def near(self, search: Search) -> FarmerPage:
        """Return the farmers whose names have what is looked for but for one letter."""
        return Register(self._connection, self._theirs).near(search)

    def on_phone(self, phone_id: int) -> tuple[Holder, ...]:
        """Return those of the farmers a phone speaks for whom this officer may see."""
        return Register(self._connection, self._theirs).on_phone(phone_id)

    def farmer(self, farmer_id: int) -> FarmerConsole | None:
        """Return what can be read of a farmer; None for one who is elsewhere, erased or not there at all."""
        here = select(farmer.c.id).where(
            farmer.c.id == farmer_id, farmer.c.state != FarmerState.ERASED, self._theirs
        )
        found = self._connection.execute(here).first() is not None
        return FarmerConsole(self._connection, farmer_id) if found else None

    def plot_owner(self, plot_id: int) -> FarmerConsole | None:
        """Return what can be read of the farmer who has a plot; None as for `farmer`."""
        owner = self._connection.execute(select(plot.c.farmer_id).where(plot.c.id == plot_id)).scalar()
        return None if owner is None else self.farmer(owner)

    def _count(self, rows: Select[Any]) -> int:
        counted = select(func.count()).select_from(rows.order_by(None).subquery())
        return self._connection.execute(counted).scalar_one()

    def _all(self, kind: type[Value], statement: Executable) -> tuple[Value, ...]:
        """Return the rows as values; the columns are labelled like the value's fields."""
        return tuple(kind(**row) for row in self._connection.execute(statement).mappings())
