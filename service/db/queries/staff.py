"""Officers, their codes, tries and sessions, and the few settings that live in the database."""

from datetime import datetime

from sqlalchemy import ColumnElement, Connection, RowMapping, delete, select, true, update

from service.core.rights import EVERYWHERE, Role
from service.core.staff import Officer, Session
from service.db.tables.staff import login_attempt, login_code, officer, officer_district, session, setting
from service.db.upsert import insert_or_update

# This row's lock makes sign-ins wait for each other on PostgreSQL; SQLite has one writer anyway.
_GATE = "sign_in_gate"
_YES, _NO = "yes", "no"


class Staff:
    """Reads and writes what is kept of officers."""

    def __init__(self, connection: Connection) -> None:
        """Work on an open transaction."""
        self._connection = connection

    def add_officer(self, name: str, role: Role, now: datetime) -> Officer:
        """Keep a new officer; the name must be unused."""
        new = officer.insert().values(name=name, role=role, added_at=now)
        self._connection.execute(new)
        return self._officers(officer.c.name == name)[0]

    def officer(self, name: str) -> Officer | None:
        """Return the officer of that name."""
        return next(iter(self._officers(officer.c.name == name)), None)

    def officers(self) -> tuple[Officer, ...]:
        """Return all officers by name."""
        return self._officers(true())

    def _officers(self, wanted: ColumnElement[bool]) -> tuple[Officer, ...]:
        rows = self._connection.execute(select(officer).where(wanted).order_by(officer.c.name)).mappings()
        return tuple(self._officer(row) for row in rows.all())

    def _officer(self, row: RowMapping) -> Officer:
        role = Role(row["role"])
        theirs = select(officer_district.c.district_id).where(officer_district.c.officer_id == row["id"])
        return Officer(
            id=row["id"],
            name=row["name"],
            role=role,
            districts=None if role in EVERYWHERE else frozenset(self._connection.execute(theirs).scalars()),
            language=row["language"],
        )

    def add_code(self, digest: bytes, officer_id: int, *, made_at: datetime, expires_at: datetime) -> None:
        """Keep the digest of a one-time code."""
        values = {"digest": digest, "officer_id": officer_id, "made_at": made_at, "expires_at": expires_at}
        self._connection.execute(login_code.insert().values(values))

    def use_code(self, digest: bytes, now: datetime) -> Officer | None:
        """Use a code up and return whose it was; None if it is unknown, used or too old.

        One statement finds and uses it, so that two browsers with the same code cannot both get in.
        """
        used = (
            update(login_code)
            .where(
                login_code.c.digest == digest, login_code.c.used_at.is_(None), login_code.c.expires_at > now
            )
            .values(used_at=now)
            .returning(login_code.c.officer_id)
        )
        found = self._connection.execute(used).scalar_one_or_none()
        if found is None:
            return None
        return self._officers(officer.c.id == found)[0]

    def one_at_a_time(self) -> None:
        """Wait until no other sign-in is under way; the lock falls with this transaction."""
        self.put_setting(_GATE, "")

    def wrong_tries(self, address: str, since: datetime) -> tuple[datetime, ...]:
        """Return when wrong codes came from `address` after `since`, oldest first."""
        tries = (
            select(login_attempt.c.at)
            .where(login_attempt.c.address == address, login_attempt.c.at > since, login_attempt.c.ok == _NO)
            .order_by(login_attempt.c.at)
        )
        return tuple(self._connection.execute(tries).scalars())

    def note_try(self, row_id: int, address: str, now: datetime, *, ok: bool) -> None:
        """Keep that a code was tried from `address`."""
        values = {"id": row_id, "address": address, "at": now, "ok": _YES if ok else _NO}
        self._connection.execute(login_attempt.insert().values(values))

    def begin_session(self, new: Session) -> None:
        """Keep a new session."""
        values = {
            "digest": new.digest,
            "officer_id": new.officer.id,
            "csrf": new.csrf,
            "began_at": new.began_at,
            "seen_at": new.seen_at,
        }
        self._connection.execute(session.insert().values(values))

    def session(self, digest: bytes) -> Session | None:
        """Return the session with that digest, alive or not."""
        row = self._connection.execute(select(session).where(session.c.digest == digest)).mappings().first()
        if row is None:
            return None
        return Session(
            digest=row["digest"],
            officer=self._officers(officer.c.id == row["officer_id"])[0],
            csrf=row["csrf"],
            began_at=row["began_at"],
            seen_at=row["seen_at"],
        )

    def see_session(self, digest: bytes, now: datetime) -> None:
        """Keep that the session was seen at `now`."""
        self._connection.execute(update(session).where(session.c.digest == digest).values(seen_at=now))

    def end_session(self, digest: bytes) -> None:
        """Forget a session; an unknown one is no fault."""
        self._connection.execute(delete(session).where(session.c.digest == digest))

    def end_sessions_before(self, began_before: datetime) -> None:
        """Forget all sessions that began before that instant."""
        self._connection.execute(delete(session).where(session.c.began_at < began_before))

    def setting(self, name: str) -> str | None:
        """Return the setting `name`, None where it was never put."""
        return self._connection.execute(
            select(setting.c.value).where(setting.c.name == name)
        ).scalar_one_or_none()

    def put_setting(self, name: str, value: str) -> None:
        """Keep the setting `name`, whether it was there before or not."""
        upsert = insert_or_update(self._connection.dialect.name, setting, ["name"])
        self._connection.execute(upsert, {"name": name, "value": value})
