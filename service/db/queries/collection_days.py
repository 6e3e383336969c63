"""Collections as they are found: each with its place and those of its days that are not as the weekdays say."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

from sqlalchemy import Connection, Select, bindparam, select

from service.core.collecting import Collection
from service.db.tables.collections import collection, collection_change
from service.db.tables.people import district, farmer_group
from service.use_cases.planting import weekdays_of

# By district and group; whoever asks adds what must hold, once.
FOUND: Final = (
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
_CHANGED: Final = select(
    collection_change.c.collection_id, collection_change.c.day, collection_change.c.moved_to
).where(collection_change.c.collection_id.in_(bindparam("collection_ids", expanding=True)))


def found(
    connection: Connection, which: Select[Any], values: Mapping[str, int | str | Sequence[int]]
) -> tuple[Collection, ...]:
    """Return the collections of `which`, that is FOUND with conditions, whose parameters are `values`."""
    rows = connection.execute(which, values).mappings().all()
    changes: dict[int, dict[date, date | None]] = {row["id"]: {} for row in rows}
    for change in connection.execute(_CHANGED, {"collection_ids": sorted(changes)}) if rows else ():
        changes[change.collection_id][change.day] = change.moved_to
    return tuple(
        Collection(**{**row, "weekdays": weekdays_of(row["weekdays"]), "changes": changes[row["id"]]})
        for row in rows
    )
