"""How an officer's districts stand today, for the officer's own phone."""

from collections.abc import Collection
from datetime import date

from sqlalchemy import ColumnElement, Connection, Select, func, select, true

from flows.facts import FarmerState
from service.core.model import HarvestState
from service.core.staff import Officer
from service.db.queries.questions import IS_OPEN, theirs
from service.db.queries.staff import Staff
from service.db.tables.people import farmer
from service.db.tables.plots import harvest, plot
from service.db.tables.speech import question


class Desk:
    """Whose phone it is, and their counts."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def officer(self, phone_id: int) -> Officer | None:
        """Return the officer whose phone that is."""
        return Staff(self._connection).officer_on_phone(phone_id)

    def farmers(self, districts: Collection[int] | None, state: FarmerState) -> int:
        """Return how many farmers of these districts stand so; None for all districts."""
        return self._count(
            select(func.count()).select_from(farmer).where(_within(districts), farmer.c.state == state)
        )

    def questions(self, districts: Collection[int] | None) -> int:
        """Return how many questions are open that are for who has these districts."""
        asked = select(func.count()).select_from(question)
        asked = asked.outerjoin(farmer, farmer.c.id == question.c.farmer_id)
        return self._count(asked.where(theirs(districts), IS_OPEN))

    def grams(self, districts: Collection[int] | None, on: date) -> int:
        """Return what was picked on a day in these districts."""
        picked = (
            select(func.coalesce(func.sum(harvest.c.grams), 0))
            .join(plot, plot.c.id == harvest.c.plot_id)
            .join(farmer, farmer.c.id == plot.c.farmer_id)
        )
        counted = harvest.c.state == HarvestState.COUNTED
        return self._count(picked.where(_within(districts), harvest.c.picked_on == on, counted))

    def _count(self, statement: Select[int]) -> int:
        return int(self._connection.execute(statement).scalar_one())


def _within(districts: Collection[int] | None) -> ColumnElement[bool]:
    return true() if districts is None else farmer.c.district_id.in_(districts)
