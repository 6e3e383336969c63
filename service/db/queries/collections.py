"""Collections: their days, the plots that follow them, and the farmers who are told."""

from collections.abc import Collection as Several
from collections.abc import Mapping
from datetime import date, datetime
from typing import Final, Unpack

from sqlalchemy import Connection, bindparam, delete, func, insert, or_, select, true, update

from flows.facts import FarmerState
from service.core.collecting import Collection
from service.core.collection_ports import Member
from service.core.columns import CollectionPlan, NewCollection
from service.core.model import Plot
from service.db.queries.collection_days import FOUND, found
from service.db.queries.plots import as_plot
from service.db.queries.waiting import REACHED
from service.db.tables.collections import collection, collection_change
from service.db.tables.people import district, farmer, farmer_group, farmer_phone
from service.db.tables.plots import plot
from service.db.upsert import insert_or_update

_BY_ID: Final = FOUND.where(collection.c.id == bindparam("collection_id"))
_OF_ZONE: Final = FOUND.where(district.c.zone == bindparam("of_zone"))
_OF_GROUP: Final = FOUND.where(collection.c.group_id == bindparam("of_group"))
_IN_DISTRICTS: Final = FOUND.where(farmer_group.c.district_id.in_(bindparam("districts", expanding=True)))


class Collections:
    """Reads and keeps collection days."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add(self, **values: Unpack[NewCollection]) -> int:
        """Add a collection with the columns given and return its id."""
        added = self._connection.execute(insert(collection).values(**values).returning(collection.c.id))
        return int(added.scalar_one())

    def set(self, collection_id: int, **values: Unpack[CollectionPlan]) -> None:
        """Set columns of a collection."""
        self._connection.execute(update(collection).where(collection.c.id == collection_id).values(**values))

    def get(self, collection_id: int) -> Collection | None:
        """Return one collection, None if there is none."""
        return next(iter(found(self._connection, _BY_ID, {"collection_id": collection_id})), None)

    def of_zone(self, zone: str) -> tuple[Collection, ...]:
        """Return the collections of a zone's districts."""
        return found(self._connection, _OF_ZONE, {"of_zone": zone})

    def of_group(self, group_id: int) -> tuple[Collection, ...]:
        """Return a group's collections, the first first."""
        return found(self._connection, _OF_GROUP, {"of_group": group_id})

    def in_districts(self, districts: Several[int] | None) -> tuple[Collection, ...]:
        """Return the collections of these districts; None for all."""
        if districts is None:
            return found(self._connection, FOUND, {})
        return found(self._connection, _IN_DISTRICTS, {"districts": sorted(districts)})

    def change(
        self, collection_id: int, day: date, moved_to: date | None, *, officer_id: int, at: datetime
    ) -> None:
        """Let a day be called off or held on another; the last word holds."""
        new = insert_or_update(self._connection.dialect.name, collection_change, "collection_id", "day")
        values = {
            "collection_id": collection_id,
            "day": day,
            "moved_to": moved_to,
            "officer_id": officer_id,
            "at": at,
        }
        self._connection.execute(new.values(values))

    def keep_day(self, collection_id: int, day: date) -> None:
        """Let a day be as the weekdays say again."""
        self._connection.execute(
            delete(collection_change).where(
                collection_change.c.collection_id == collection_id, collection_change.c.day == day
            )
        )

    def lead(self, collection: Collection, columns: Mapping[int, Mapping[str, int]]) -> None:
        """Let the group's open plots follow a collection; `columns` are their weekdays by text day."""
        theirs = select(farmer.c.id).where(farmer.c.group_id == collection.group_id)
        for text_day, after in columns.items():
            others = [plot.c[name] != value for name, value in after.items()]
            self._connection.execute(
                update(plot)
                .where(
                    plot.c.farmer_id.in_(theirs),
                    plot.c.text_day == text_day,
                    plot.c.closed_on.is_(None),
                    or_(func.coalesce(plot.c.collection_id, 0) != collection.id, *others),
                )
                .values(collection_id=collection.id, **after)
            )

    def strays(self, collection_id: int, group_id: int | None) -> tuple[Plot, ...]:
        """Return the plots that follow a collection whose farmers are not of that group; all where it is None."""
        outside = true() if group_id is None else func.coalesce(farmer.c.group_id, 0) != group_id
        rows = self._connection.execute(
            select(plot)
            .join(farmer, farmer.c.id == plot.c.farmer_id)
            .where(plot.c.collection_id == collection_id, outside)
        )
        return tuple(as_plot(row) for row in rows)

    def plots(self, collection_id: int) -> tuple[Plot, ...]:
        """Return the live plots that follow a collection."""
        rows = self._connection.execute(
            select(plot).where(plot.c.collection_id == collection_id, plot.c.live).order_by(plot.c.id)
        )
        return tuple(as_plot(row) for row in rows)

    def members(self, group_id: int, now: datetime) -> tuple[Member, ...]:
        """Return the farmers of a group who are texted now."""
        rows = self._connection.execute(
            select(
                farmer.c.id.label("farmer_id"),
                farmer.c.name,
                farmer.c.language,
                district.c.zone,
                farmer_phone.c.phone_id,
            )
            .join(district, district.c.id == farmer.c.district_id)
            .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
            .where(
                farmer.c.group_id == group_id,
                farmer.c.state == FarmerState.ACTIVE,
                or_(farmer.c.paused_until.is_(None), farmer.c.paused_until <= now),
                REACHED,
            )
            .order_by(farmer.c.name, farmer.c.id)
        )
        return tuple(Member(**row) for row in rows.mappings())
