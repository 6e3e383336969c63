"""Collections as they are found: each with its place and those of its days that are not as the weekdays say."""

from datetime import date
from typing import Final

from sqlalchemy import ColumnElement, Connection, select

from service.core.collecting import Collection
from service.db.tables.collections import collection, collection_change
from service.db.tables.people import district, farmer_group
from service.use_cases.planting import weekdays_of

_FOUND: Final = (
    select(
        collection.c.id,
        collection.c.group_id,
        collection.c.place,
        collection.c.weekdays,
        collection.c.hour,
        collection.c.first_on,
        collection.c.last_on,
        farmer_group.c.name.label("group"),
        district.c.id.label("district_id"),
        district.c.name.label("district"),
        district.c.zone,
    )
    .join(farmer_group, farmer_group.c.id == collection.c.group_id)
    .join(district, district.c.id == farmer_group.c.district_id)
    .order_by(district.c.name, farmer_group.c.name, collection.c.first_on)
)


def found(connection: Connection, *conditions: ColumnElement[bool]) -> tuple[Collection, ...]:
    """Return the collections of which all conditions hold, by district and group."""
    rows = connection.execute(_FOUND.where(*conditions)).mappings().all()
    changes: dict[int, dict[date, date | None]] = {row["id"]: {} for row in rows}
    changed = select(
        collection_change.c.collection_id, collection_change.c.day, collection_change.c.moved_to
    ).where(collection_change.c.collection_id.in_(sorted(changes)))
    for change in connection.execute(changed) if rows else ():
        changes[change.collection_id][change.day] = change.moved_to
    return tuple(
        Collection(**{**row, "weekdays": weekdays_of(row["weekdays"]), "changes": changes[row["id"]]})
        for row in rows
    )
