"""The one condition by which rows are bound to an officer's districts."""

from collections.abc import Collection
from typing import TypeAlias

from sqlalchemy import ColumnElement, true

from service.db.tables.people import farmer

# None means all districts there are and will be.
Districts: TypeAlias = Collection[int] | None


def within(districts: Districts, column: ColumnElement[int] | None = None) -> ColumnElement[bool]:
    """Return the condition that a row's district, by default its farmer's, is one of these."""
    if districts is None:
        return true()
    return (farmer.c.district_id if column is None else column).in_(sorted(districts))
