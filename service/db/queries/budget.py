"""The budget's purses: one row each, changed where it stands, so that two who pay at once cannot pass a cap."""

from datetime import date

from sqlalchemy import ColumnElement, Connection, and_, bindparam, select, update

from service.core.wire_ports import Purse
from service.db.tables.outbox import budget
from service.db.upsert import insert_new

_ROW = and_(budget.c.scope == bindparam("key_scope"), budget.c.day == bindparam("key_day"))
_PURSE = select(budget.c.reserved, budget.c.spent).where(_ROW)


class Budget:
    """What may still be paid for."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._open = insert_new(connection.dialect.name, budget)

    def reserve(self, scope: str, day: date, parts: int, cap: int | None) -> bool:
        """Reserve parts in one purse; return whether that kept within `cap`."""
        self._connection.execute(self._open, {"scope": scope, "day": day})
        fits: list[ColumnElement[bool]] = []
        if cap is not None:
            # Judged on the row as it stands once it is ours: whoever came first has been counted in.
            fits.append(budget.c.reserved + budget.c.spent + parts <= cap)
        changed = self._connection.execute(
            update(budget).where(_ROW, *fits).values(reserved=budget.c.reserved + parts),
            {"key_scope": scope, "key_day": day},
        )
        return changed.rowcount == 1

    def spend(self, scope: str, day: date, parts: int) -> None:
        """Let reserved parts be spent."""
        self._change(scope, day, reserved=-parts, spent=parts)

    def give_back(self, scope: str, day: date, parts: int) -> None:
        """Let reserved parts be free again."""
        self._change(scope, day, reserved=-parts, spent=0)

    def spend_all_reserved(self) -> None:
        """After a crash: what was reserved belongs to texts that may have left."""
        self._connection.execute(
            update(budget)
            .where(budget.c.reserved != 0)
            .values(spent=budget.c.spent + budget.c.reserved, reserved=0)
        )

    def purse(self, scope: str, day: date) -> Purse:
        """Return what has gone from one purse."""
        row = self._connection.execute(_PURSE, {"key_scope": scope, "key_day": day}).first()
        return Purse(reserved=row.reserved, spent=row.spent) if row else Purse()

    def _change(self, scope: str, day: date, *, reserved: int, spent: int) -> None:
        self._connection.execute(
            update(budget)
            .where(_ROW)
            .values(reserved=budget.c.reserved + reserved, spent=budget.c.spent + spent),
            {"key_scope": scope, "key_day": day},
        )
