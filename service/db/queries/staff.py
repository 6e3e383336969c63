"""Officers, what they may do and where, and the few settings that live in the database."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Unpack

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    bindparam,
    delete,
    func,
    insert,
    select,
    true,
    update,
)

from service.core.columns import OfficerChange
from service.core.rights import EVERYWHERE, Role
from service.core.staff import Officer
from service.db.tables.staff import officer, officer_district, officer_phone, setting
from service.db.upsert import insert_new, insert_or_update

# Asked of every text that comes in.
_ON_PHONE = (
    select(officer)
    .join(officer_phone, officer_phone.c.officer_id == officer.c.id)
    .where(officer_phone.c.phone_id == bindparam("phone_id"), officer.c.disabled_at.is_(None))
)
_DISTRICTS = select(officer_district).where(
    officer_district.c.officer_id.in_(bindparam("ids", expanding=True))
)
_SETTING = select(setting.c.value).where(setting.c.name == bindparam("name"))


def read_officers(connection: Connection, wanted: ColumnElement[bool]) -> tuple[Officer, ...]:
    """Return the officers of that condition by name, each with their districts."""
    found = connection.execute(select(officer).where(wanted).order_by(officer.c.name))
    return _with_districts(connection, found.mappings().all())


def _with_districts(connection: Connection, rows: Sequence[RowMapping]) -> tuple[Officer, ...]:
    if not rows:
        return ()
    theirs: dict[int, set[int]] = {}
    for row in connection.execute(_DISTRICTS, {"ids": [row["id"] for row in rows]}):
        theirs.setdefault(row.officer_id, set()).add(row.district_id)
    return tuple(_officer(row, theirs.get(row["id"], set())) for row in rows)


def _officer(row: RowMapping, districts: set[int]) -> Officer:
    role = Role(row["role"])
    return Officer(
        id=row["id"],
        name=row["name"],
        role=role,
        districts=None if role in EVERYWHERE else frozenset(districts),
        language=row["language"],
    )


class Staff:
    """Reads and writes what is kept of officers; how they sign in stands in `logins`."""

    def __init__(self, connection: Connection) -> None:
        """Work on an open transaction."""
        self._connection = connection
        self._dialect = connection.dialect.name

    def add_officer(self, name: str, role: Role, now: datetime) -> Officer:
        """Keep a new officer; the name must be unused."""
        self._connection.execute(insert(officer).values(name=name, role=role, added_at=now))
        return read_officers(self._connection, officer.c.name == name)[0]

    def officer(self, name: str) -> Officer | None:
        """Return the officer of that name, whatever its capitals; one who was disabled too."""
        return next(iter(read_officers(self._connection, func.lower(officer.c.name) == name.lower())), None)

    def officers(self) -> tuple[Officer, ...]:
        """Return all officers who are not disabled, by name."""
        return read_officers(self._connection, officer.c.disabled_at.is_(None))

    def everybody(self) -> tuple[tuple[Officer, datetime | None], ...]:
        """Return all officers there ever were, each with when they were disabled."""
        rows = self._connection.execute(select(officer.c.id, officer.c.disabled_at))
        gone = {row.id: row.disabled_at for row in rows}
        return tuple((one, gone[one.id]) for one in read_officers(self._connection, true()))

    def officer_on_phone(self, phone_id: int) -> Officer | None:
        """Return the officer whose phone that is; nobody who is disabled."""
        found = self._connection.execute(_ON_PHONE, {"phone_id": phone_id}).mappings().all()
        return next(iter(_with_districts(self._connection, found)), None)

    def set_officer(self, officer_id: int, **values: Unpack[OfficerChange]) -> None:
        """Set columns of an officer: role, language, disabled_at."""
        self._connection.execute(update(officer).where(officer.c.id == officer_id).values(**values))

    def set_districts(self, officer_id: int, districts: Iterable[int]) -> None:
        """Let exactly these districts be an officer's."""
        self._connection.execute(delete(officer_district).where(officer_district.c.officer_id == officer_id))
        rows = [{"officer_id": officer_id, "district_id": one} for one in sorted(districts)]
        if rows:
            self._connection.execute(insert(officer_district), rows)

    def add_phone(self, officer_id: int, phone_id: int) -> None:
        """Let a phone speak for an officer and for no other."""
        self._connection.execute(delete(officer_phone).where(officer_phone.c.phone_id == phone_id))
        new = insert_new(self._dialect, officer_phone).values(officer_id=officer_id, phone_id=phone_id)
        self._connection.execute(new)

    def setting(self, name: str) -> str | None:
        """Return the setting `name`, None where it was never put."""
        return self._connection.execute(_SETTING, {"name": name}).scalar_one_or_none()

    def put_setting(self, name: str, value: str) -> None:
        """Keep the setting `name`, whether it was there before or not."""
        upsert = insert_or_update(self._dialect, setting, "name")
        self._connection.execute(upsert, {"name": name, "value": value})
