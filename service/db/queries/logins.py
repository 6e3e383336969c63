"""How officers sign in: one-time codes, tries, passwords, the second factor, and sessions."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    and_,
    delete,
    exists,
    func,
    insert,
    or_,
    select,
    update,
)

from service.core.staff import Account, NewPlace, Session
from service.db.queries.staff import read_officers
from service.db.sealing import Seal
from service.db.tables.staff import (
    login_attempt,
    login_code,
    officer,
    officer_place,
    recovery_code,
    session,
    setting,
)
from service.db.upsert import insert_new, insert_or_update

# This row's lock makes sign-ins wait for each other on PostgreSQL; SQLite has one writer anyway.
_GATE = "sign_in_gate"
_YES, _NO = "yes", "no"


class Logins:
    """Reads and writes what opens the pages; nothing of it is readable in the database but names."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Work on an open transaction; `seal` hides the secrets of second factors."""
        self._connection = connection
        self._seal = seal

    def account(self, name: str) -> Account | None:
        """Return what an officer of that name signs in with; None for nobody and for who is disabled."""
        return self._account(func.lower(officer.c.name) == name.lower())

    def account_of(self, officer_id: int) -> Account | None:
        """Return what an officer signs in with; None for nobody and for who is disabled."""
        return self._account(officer.c.id == officer_id)

    def _account(self, wanted: ColumnElement[bool]) -> Account | None:
        found = select(officer).where(wanted, officer.c.disabled_at.is_(None))
        row = self._connection.execute(found).mappings().first()
        if row is None:
            return None
        secret = row["second_factor"]
        return Account(
            officer=read_officers(self._connection, officer.c.id == row["id"])[0],
            password_hash=row["password_hash"],
            second_factor=bytes.fromhex(self._seal.open(secret)) if secret else None,
        )

    def set_password(self, officer_id: int, password_hash: str | None) -> None:
        """Keep what was made of a password; None takes the password away."""
        self._set(officer_id, password_hash=password_hash)

    def offer_second_factor(self, officer_id: int, secret: bytes) -> None:
        """Keep a secret that its owner is to confirm."""
        self._set(officer_id, second_factor_next=self._seal.close(secret.hex()))

    def offered_second_factor(self, officer_id: int) -> bytes | None:
        """Return the secret that waits to be confirmed."""
        sealed = self._connection.execute(
            select(officer.c.second_factor_next).where(officer.c.id == officer_id)
        ).scalar_one_or_none()
        return bytes.fromhex(self._seal.open(sealed)) if sealed else None

    def take_second_factor(self, officer_id: int, counter: int, recovery: Iterable[bytes]) -> None:
        """Let the offered secret be the second factor; `counter` is used, and the recovery codes are new."""
        self._set(
            officer_id,
            second_factor=officer.c.second_factor_next,
            second_factor_next=None,
            second_factor_used=counter,
        )
        self._connection.execute(delete(recovery_code).where(recovery_code.c.officer_id == officer_id))
        rows = [{"digest": digest, "officer_id": officer_id} for digest in recovery]
        self._connection.execute(insert(recovery_code), rows)

    def drop_second_factor(self, officer_id: int) -> None:
        """Take the second factor and its recovery codes away."""
        self._set(officer_id, second_factor=None, second_factor_next=None, second_factor_used=None)
        self._connection.execute(delete(recovery_code).where(recovery_code.c.officer_id == officer_id))

    def use_second_factor(self, officer_id: int, counter: int) -> bool:
        """Use the digits of one step up; False if they, or later ones, were used before."""
        unused = or_(officer.c.second_factor_used.is_(None), officer.c.second_factor_used < counter)
        used = update(officer).where(officer.c.id == officer_id, unused).values(second_factor_used=counter)
        return self._connection.execute(used).rowcount == 1

    def use_recovery_code(self, officer_id: int, digest: bytes, now: datetime) -> bool:
        """Use a recovery code up; False if it is unknown, another's or used."""
        used = (
            update(recovery_code)
            .where(
                recovery_code.c.digest == digest,
                recovery_code.c.officer_id == officer_id,
                recovery_code.c.used_at.is_(None),
            )
            .values(used_at=now)
        )
        return self._connection.execute(used).rowcount == 1

    def recovery_codes_left(self, officer_id: int) -> int:
        """Return how many recovery codes an officer has."""
        left = select(func.count()).where(
            recovery_code.c.officer_id == officer_id, recovery_code.c.used_at.is_(None)
        )
        return self._connection.execute(left).scalar_one()

    def add_code(self, digest: bytes, officer_id: int, *, made_at: datetime, expires_at: datetime) -> None:
        """Keep the digest of a one-time code."""
        values = {"digest": digest, "officer_id": officer_id, "made_at": made_at, "expires_at": expires_at}
        self._connection.execute(insert(login_code).values(values))

    def code_owner(self, digest: bytes, now: datetime) -> Account | None:
        """Return whose code that is; None if it is unknown, used or too old."""
        owner = select(login_code.c.officer_id).where(_good(digest, now))
        return self._account(officer.c.id.in_(owner))

    def use_code(self, digest: bytes, now: datetime) -> bool:
        """Use a code up; False if somebody else has in the meantime: of two browsers one gets in."""
        used = update(login_code).where(_good(digest, now)).values(used_at=now)
        return self._connection.execute(used).rowcount == 1

    def codes(self) -> tuple[tuple[int, datetime, bytes], ...]:
        """Return officer, when it was made and digest of each code, used or not."""
        rows = self._connection.execute(
            select(login_code.c.officer_id, login_code.c.made_at, login_code.c.digest)
        )
        return tuple((row.officer_id, row.made_at, row.digest) for row in rows)

    def drop_codes(self, officer_id: int) -> None:
        """Forget the codes an officer has not used."""
        unused = login_code.c.used_at.is_(None)
        self._connection.execute(delete(login_code).where(login_code.c.officer_id == officer_id, unused))

    def one_at_a_time(self) -> None:
        """Wait until no other sign-in is under way; the lock falls with this transaction."""
        upsert = insert_or_update(self._connection.dialect.name, setting, "name")
        self._connection.execute(upsert, {"name": _GATE, "value": ""})

    def wrong_tries(
        self, since: datetime, *, address: str | None = None, account: str | None = None
    ) -> tuple[datetime, ...]:
        """Return when wrong tries came after `since` from an address, for an account, or both, oldest first."""
        given = ((login_attempt.c.address, address), (login_attempt.c.account, account))
        whose = and_(*(column == value for column, value in given if value is not None))
        tries = (
            select(login_attempt.c.at)
            .where(whose, login_attempt.c.at > since, login_attempt.c.ok == _NO)
            .order_by(login_attempt.c.at)
        )
        return tuple(self._connection.execute(tries).scalars())

    def signed_in_from(self, account: str, address: str | None, since: datetime) -> bool:
        """Return whether an account was signed in from an address, or from anywhere, after `since`."""
        found = select(login_attempt.c.id).where(
            login_attempt.c.account == account, login_attempt.c.ok == _YES, login_attempt.c.at > since
        )
        if address is not None:
            found = found.where(login_attempt.c.address == address)
        return self._connection.execute(found.limit(1)).first() is not None

    def note_try(self, row_id: int, address: str, account: str | None, now: datetime) -> None:
        """Keep a try as wrong, before it is looked at."""
        values = {"id": row_id, "address": address, "account": account, "at": now, "ok": _NO}
        self._connection.execute(insert(login_attempt).values(values))

    def try_was_right(self, row_id: int, account: str) -> None:
        """Keep that a try was right, and whose it was."""
        self._connection.execute(
            update(login_attempt).where(login_attempt.c.id == row_id).values(ok=_YES, account=account)
        )

    def see_place(self, officer_id: int, place: str, at: datetime) -> bool:
        """Keep where an officer signed in from, as a digest; return whether it had not been seen before."""
        digest = self._seal.index(f"place {officer_id} {place}")
        new = insert_new(self._connection.dialect.name, officer_place)
        values = {"officer_id": officer_id, "digest": digest, "first_at": at}
        return self._connection.execute(new, values).rowcount == 1

    def new_places(self, since: datetime, *, officer_id: int | None = None) -> tuple[NewPlace, ...]:
        """Return the places that officers, or one of them, first signed in from after `since`, the newest first.

        An officer's very first place is none of them: there was no other to tell it from.
        """
        earlier = officer_place.alias()
        others = exists().where(
            earlier.c.officer_id == officer_place.c.officer_id, earlier.c.first_at < officer_place.c.first_at
        )
        found = (
            select(officer.c.name.label("officer"), officer_place.c.first_at.label("at"))
            .join(officer, officer.c.id == officer_place.c.officer_id)
            .where(officer_place.c.first_at > since, others)
            .order_by(officer_place.c.first_at.desc(), officer.c.name)
        )
        if officer_id is not None:
            found = found.where(officer_place.c.officer_id == officer_id)
        return tuple(NewPlace(**row) for row in self._connection.execute(found).mappings())

    def forget_tries_before(self, instant: datetime) -> None:
        """Forget tries that decide nothing any more."""
        self._connection.execute(delete(login_attempt).where(login_attempt.c.at < instant))

    def begin_session(self, new: Session) -> None:
        """Keep a new session."""
        values = {
            "digest": new.digest,
            "officer_id": new.officer.id,
            "csrf": new.csrf,
            "began_at": new.began_at,
            "seen_at": new.seen_at,
            "address": new.address,
            "browser": new.browser,
        }
        self._connection.execute(insert(session).values(values))

    def session(self, digest: bytes) -> Session | None:
        """Return the session with that digest, alive or not; none of an officer who was disabled."""
        found = select(session).where(session.c.digest == digest)
        row = self._connection.execute(found).mappings().first()
        account = self.account_of(row["officer_id"]) if row else None
        return _session(row, account) if row and account else None

    def sessions_of(self, officer_id: int) -> tuple[Session, ...]:
        """Return an officer's sessions, the last one seen first."""
        account = self.account_of(officer_id)
        found = select(session).where(session.c.officer_id == officer_id).order_by(session.c.seen_at.desc())
        rows = self._connection.execute(found).mappings().all()
        return tuple(_session(row, account) for row in rows) if account else ()

    def see_session(self, digest: bytes, now: datetime) -> None:
        """Keep that the session was seen at `now`."""
        self._connection.execute(update(session).where(session.c.digest == digest).values(seen_at=now))

    def end_session(self, digest: bytes) -> None:
        """Forget a session; an unknown one is no fault."""
        self._connection.execute(delete(session).where(session.c.digest == digest))

    def end_sessions_of(self, officer_id: int, *, but: bytes | None = None) -> None:
        """Forget all sessions of an officer, or all but one."""
        ended = delete(session).where(session.c.officer_id == officer_id)
        self._connection.execute(ended if but is None else ended.where(session.c.digest != but))

    def end_sessions_before(self, began_before: datetime) -> None:
        """Forget all sessions that began before that instant."""
        self._connection.execute(delete(session).where(session.c.began_at < began_before))

    def _set(self, officer_id: int, **values: object) -> None:
        self._connection.execute(update(officer).where(officer.c.id == officer_id).values(**values))


def _good(digest: bytes, now: datetime) -> ColumnElement[bool]:
    unused = login_code.c.used_at.is_(None)
    return (login_code.c.digest == digest) & unused & (login_code.c.expires_at > now)


def _session(row: RowMapping, account: Account) -> Session:
    return Session(
        digest=row["digest"],
        officer=account.officer,
        csrf=row["csrf"],
        began_at=row["began_at"],
        seen_at=row["seen_at"],
        address=row["address"],
        browser=row["browser"],
        lacks=account.lacks,
    )
