"""What the pages show: queries that only read and return plain values.

A farmer's own page has its queries in `console_farmer`, reached as `console.farmer`.
"""

from collections.abc import Iterable
from typing import Final, TypeVar

from sqlalchemy import (
    ColumnElement,
    Connection,
    Executable,
    Table,
    Text,
    and_,
    case,
    column,
    func,
    inspect,
    literal_column,
    select,
    table,
    text,
)

from flows.effects import Urgency
from flows.facts import FarmerState
from service.core.kinds import MessageState
from service.core.model import HarvestState
from service.db.queries.console_farmer import FarmerConsole
from service.db.queries.console_values import (
    Cohort,
    DoubtfulWeight,
    FarmerLine,
    FarmerPage,
    OpenQuestion,
    PlotLine,
    TextedIn,
    TextInDoubt,
    Waiting,
)
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, phone
from service.db.tables.plots import harvest, plot
from service.db.tables.speech import inbound, question

_URGENT_FIRST: Final = case(
    (question.c.urgency == Urgency.EMERGENCY, 0), (question.c.urgency == Urgency.ORDINARY, 1), else_=2
)
_OPEN: Final = question.c.closed_at.is_(None)
# Written out, not bound: the engines use a partial index only for a condition they can see is its own.
_IN_QUESTION: Final = harvest.c.state == literal_column(f"'{HarvestState.IN_QUESTION}'")
_UNSETTLED: Final = text(f"message.state IN ('{MessageState.SUBMITTING}', '{MessageState.IN_DOUBT}')")
_IN_DOUBT: Final = and_(_UNSETTLED, message.c.state == literal_column(f"'{MessageState.IN_DOUBT}'"))

_QUESTIONS: Final = (
    select(
        question.c.code,
        question.c.text,
        question.c.urgency,
        question.c.asked_at,
        question.c.farmer_id,
        farmer.c.name.label("farmer"),
        district.c.name.label("district"),
        phone.c.last3,
    )
    .join(phone, phone.c.id == question.c.phone_id)
    .outerjoin(farmer, farmer.c.id == question.c.farmer_id)
    .outerjoin(district, district.c.id == farmer.c.district_id)
    .where(_OPEN)
    .order_by(_URGENT_FIRST, question.c.asked_at, question.c.id)
)
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
    .where(_IN_DOUBT)
    .order_by(message.c.priority, message.c.state_at)
)
_COHORTS: Final = (
    select(plot.c.planted_on, func.count().label("plots"))
    .where(plot.c.live)
    .group_by(plot.c.planted_on)
    .order_by(plot.c.planted_on)
)
_HERE: Final = farmer.c.state != FarmerState.ERASED
_VERSION: Final = select(column("version_num", Text)).select_from(table("alembic_version"))

Value = TypeVar("Value")


class Console:
    """Reads for the pages."""

    def __init__(self, connection: Connection) -> None:
        """Read in an open transaction."""
        self._connection = connection
        self.farmer = FarmerConsole(connection)

    def waiting(self, limit: int) -> Waiting:
        """Return what needs a person: at most `limit` of each list, and the whole counts."""
        return Waiting(
            questions=self._all(OpenQuestion, _QUESTIONS.limit(limit)),
            weights=self._all(DoubtfulWeight, _WEIGHTS.limit(limit)),
            doubts=self._all(TextInDoubt, _DOUBTS.limit(limit)),
            emergencies=self._count(question, and_(_OPEN, question.c.urgency == Urgency.EMERGENCY)),
            question_count=self._count(question, _OPEN),
            weight_count=self._count(harvest, _IN_QUESTION),
            doubt_count=self._count(message, _IN_DOUBT),
        )

    def cohorts(self) -> tuple[Cohort, ...]:
        """Return how many live plots were planted on each day, in the order of the days."""
        return self._all(Cohort, _COHORTS)

    def farmers(self, *, named: str, page: int, size: int) -> FarmerPage:
        """Return one page of the farmers whose name holds `named`, by name; pages count from 1."""
        wanted = and_(_HERE, farmer.c.name.icontains(named, autoescape=True)) if named else _HERE
        found = (
            select(farmer.c.id, farmer.c.name, farmer.c.state, district.c.name.label("district"))
            .join(district, district.c.id == farmer.c.district_id)
            .where(wanted)
            .order_by(farmer.c.name, farmer.c.id)
            .limit(size)
            .offset((page - 1) * size)
        )
        rows = self._connection.execute(found).all()
        plots = self._plots_of([row.id for row in rows])
        lines = tuple(
            FarmerLine(
                id=row.id,
                name=row.name,
                district=row.district,
                state=row.state,
                plots=tuple(line for line in plots if line.farmer_id == row.id),
            )
            for row in rows
        )
        return FarmerPage(lines=lines, total=self._count(farmer, wanted))

    def texted_in(self, phone_id: int, limit: int) -> tuple[TextedIn, ...]:
        """Return the last texts that came in from one phone, the newest first."""
        found = (
            select(inbound.c.ref, inbound.c.received_at.label("at"), inbound.c.text)
            .where(inbound.c.phone_id == phone_id)
            .order_by(inbound.c.id.desc())
            .limit(limit)
        )
        return self._all(TextedIn, found)

    def schema_version(self) -> str | None:
        """Return the name of the newest migration that ran here, None before the first."""
        if not inspect(self._connection).has_table("alembic_version"):
            return None
        return self._connection.execute(_VERSION).scalar_one_or_none()

    def _plots_of(self, farmer_ids: Iterable[int]) -> tuple[PlotLine, ...]:
        """Return the plots of some farmers, the newest first, each with its last counted weight."""
        newest = (
            select(
                harvest.c.plot_id,
                harvest.c.picked_on,
                harvest.c.grams,
                func.row_number()
                .over(
                    partition_by=harvest.c.plot_id, order_by=(harvest.c.picked_on.desc(), harvest.c.id.desc())
                )
                .label("place"),
            )
            .join(plot, plot.c.id == harvest.c.plot_id)
            .where(harvest.c.state == HarvestState.COUNTED, plot.c.farmer_id.in_(farmer_ids))
            .subquery()
        )
        found = (
            select(
                plot.c.id,
                plot.c.farmer_id,
                plot.c.planted_on,
                plot.c.plants,
                plot.c.live,
                newest.c.grams.label("last_grams"),
                newest.c.picked_on.label("last_picked_on"),
            )
            .outerjoin(newest, and_(newest.c.plot_id == plot.c.id, newest.c.place == 1))
            .where(plot.c.farmer_id.in_(farmer_ids))
            .order_by(plot.c.live.desc(), plot.c.planted_on.desc(), plot.c.id.desc())
        )
        return self._all(PlotLine, found)

    def _count(self, rows_of: Table, wanted: ColumnElement[bool]) -> int:
        counted = select(func.count()).select_from(rows_of).where(wanted)
        return self._connection.execute(counted).scalar_one()

    def _all(self, kind: type[Value], statement: Executable) -> tuple[Value, ...]:
        """Return the rows as values; the columns are labelled like the value's fields."""
        return tuple(kind(**row) for row in self._connection.execute(statement).mappings())
