"""Villages and groups: adding them, and lists to choose from."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, Table, or_, select

from service.core.folding import folded
from service.db.tables.people import district, farmer, farmer_group, village
from service.db.upsert import insert_new


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """A village or a group, with its district."""

    id: int
    name: str
    district_id: int
    district: str


class Places:
    """Reads villages and groups."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def add_village(self, district_id: int, name: str) -> None:
        """Add a village unless the district has one of that name."""
        self._add(village, district_id, name)

    def add_group(self, district_id: int, name: str) -> None:
        """Add a group unless the district has one of that name."""
        self._add(farmer_group, district_id, name)

    def villages(self, districts: Collection[int] | None) -> tuple[Place, ...]:
        """Return the villages of these districts by name; None for all."""
        return self._of(village, districts)

    def groups(self, districts: Collection[int] | None) -> tuple[Place, ...]:
        """Return the groups of these districts by name; None for all."""
        return self._of(farmer_group, districts)

    def known(self, words: Collection[str], districts: Collection[int] | None) -> frozenset[str]:
        """Return which folded words are in the name of a place, or a part of that of a farmer of these districts."""
        if not words:
            return frozenset()
        tables = (district, village, farmer_group)
        names = [name for table in tables for name in self._connection.scalars(select(table.c.name))]
        places = {part for name in names for part in folded(name).split()}
        return frozenset(word for word in words if word in places or self._a_farmer(word, districts))

    def _a_farmer(self, word: str, districts: Collection[int] | None) -> bool:
        here = select(district.c.id) if districts is None else sorted(districts)
        named = select(farmer.c.id).where(
            farmer.c.district_id.in_(here),
            or_(
                farmer.c.sought == word,
                farmer.c.sought.startswith(f"{word} ", autoescape=True),
                farmer.c.sought.contains(f" {word}", autoescape=True),
            ),
        )
        return self._connection.scalar(named.limit(1)) is not None

    def _add(self, table: Table, district_id: int, name: str) -> None:
        new = insert_new(self._connection.dialect.name, table).values(district_id=district_id, name=name)
        self._connection.execute(new)

    def _of(self, table: Table, districts: Collection[int] | None) -> tuple[Place, ...]:
        found = (
            select(table.c.id, table.c.name, table.c.district_id, district.c.name.label("district"))
            .join(district, district.c.id == table.c.district_id)
            .order_by(district.c.name, table.c.name)
        )
        if districts is not None:
            found = found.where(table.c.district_id.in_(sorted(districts)))
        return tuple(
            Place(id=row.id, name=row.name, district_id=row.district_id, district=row.district)
            for row in self._connection.execute(found)
        )
