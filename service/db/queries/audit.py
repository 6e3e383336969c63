"""The record of what officers did, as a chain of rows."""

import json
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from typing import Any, Final

from sqlalchemy import Connection, insert, select

from service.clock import Clock
from service.db.sealing import Seal
from service.db.tables.staff import audit, officer, setting
from service.db.upsert import insert_or_update
from service.use_cases.audit import AuditRow

# The newest row's id and digest, as "id:hex".
_HEAD: Final = "audit_head"
# This row's lock makes whoever adds a row wait for whoever adds another on PostgreSQL; SQLite has one writer anyway.
_GATE: Final = "audit_gate"
_BATCH: Final = 500


class Audit:
    """Adds to the record and reads it; nothing here can change or remove a row."""

    def __init__(self, connection: Connection, seal: Seal, clock: Clock) -> None:
        """Work on `connection`; the digests are keyed with `seal`, and `clock` tells real time."""
        self._connection = connection
        self._seal = seal
        self._clock = clock

    def now(self) -> datetime:
        """Return the present instant in real time, by which the record goes."""
        return self._clock.now()

    def add(
        self, *, at: datetime, officer_id: int | None, action: str, subject: str, detail: Mapping[str, Any]
    ) -> None:
        """Put a row at the end of the chain."""
        self._put(_GATE, "")
        last, before = self.head() or (0, b"")
        row = AuditRow(
            id=last + 1,
            at=at,
            officer_id=officer_id,
            action=action,
            subject=subject,
            detail=dict(detail),
            before=before,
            digest=b"",
        )
        digest = self.digest_of(row)
        self._connection.execute(
            insert(audit).values(
                id=row.id,
                at=at,
                officer_id=officer_id,
                action=action,
                subject=subject,
                detail=row.detail,
                before=before,
                digest=digest,
            )
        )
        self._put(_HEAD, f"{row.id}:{digest.hex()}")

    def rows(self) -> Iterator[AuditRow]:
        """Return the whole chain, the oldest row first, a few hundred at a time."""
        last = -1
        while True:
            found = self._connection.execute(
                select(audit).where(audit.c.id > last).order_by(audit.c.id).limit(_BATCH)
            ).mappings()
            batch = [AuditRow(**row) for row in found]
            yield from batch
            if len(batch) < _BATCH:
                return
            last = batch[-1].id

    def newest(self, limit: int, *, before: int | None = None) -> tuple[tuple[AuditRow, str | None], ...]:
        """Return the last rows with the name of whose they are, the newest first; with `before` those before it."""
        found = (
            select(audit, officer.c.name)
            .outerjoin(officer, officer.c.id == audit.c.officer_id)
            .order_by(audit.c.id.desc())
            .limit(limit)
        )
        if before is not None:
            found = found.where(audit.c.id < before)
        rows = [dict(row) for row in self._connection.execute(found).mappings()]
        return tuple((AuditRow(**row), name) for row in rows for name in [row.pop("name")])

    def digest_of(self, row: AuditRow) -> bytes:
        """Return the digest that a row ought to have: HMAC-SHA-256 over all its values in one written form."""
        values = [
            row.id,
            row.at.astimezone(UTC).isoformat(),
            row.officer_id,
            row.action,
            row.subject,
            row.detail,
            row.before.hex(),
        ]
        return self._seal.index("audit " + json.dumps(values, sort_keys=True, separators=(",", ":")))

    def head(self) -> tuple[int, bytes] | None:
        """Return the id and digest of the newest row as they were written beside the chain."""
        found: str | None = self._connection.execute(
            select(setting.c.value).where(setting.c.name == _HEAD)
        ).scalar_one_or_none()
        if not found:
            return None
        number, _, digest = found.partition(":")
        return int(number), bytes.fromhex(digest)

    def _put(self, name: str, value: str) -> None:
        upsert = insert_or_update(self._connection.dialect.name, setting, "name")
        self._connection.execute(upsert, {"name": name, "value": value})
