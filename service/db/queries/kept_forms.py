"""Forms that met an ended session, sealed until their officer signs in again."""

import json
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import Connection, delete, select

from service.core.staff import KeptForm
from service.db.sealing import Seal
from service.db.tables.staff import kept_form
from service.db.upsert import insert_or_update


class KeptForms:
    """Reads and writes the last such form of each officer."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Work on an open transaction; `seal` hides what was typed."""
        self._connection = connection
        self._seal = seal

    def keep(self, officer_id: int, form: KeptForm, now: datetime) -> None:
        """Keep a form in place of the one before."""
        upsert = insert_or_update(self._connection.dialect.name, kept_form, "officer_id")
        sealed = self._seal.close(json.dumps(asdict(form)))
        self._connection.execute(upsert, {"officer_id": officer_id, "kept_at": now, "sealed": sealed})

    def of(self, officer_id: int, since: datetime) -> KeptForm | None:
        """Return the form of an officer, if one was kept after `since`."""
        found = select(kept_form.c.sealed).where(
            kept_form.c.officer_id == officer_id, kept_form.c.kept_at > since
        )
        sealed = self._connection.execute(found).scalar_one_or_none()
        if sealed is None:
            return None
        typed = json.loads(self._seal.open(sealed))
        return KeptForm(**{**typed, "fields": tuple((name, value) for name, value in typed["fields"])})

    def drop(self, officer_id: int) -> None:
        """Forget the form of an officer."""
        self._connection.execute(delete(kept_form).where(kept_form.c.officer_id == officer_id))

    def drop_before(self, instant: datetime) -> int:
        """Forget all forms that were kept before that instant; return how many those were."""
        return self._connection.execute(delete(kept_form).where(kept_form.c.kept_at < instant)).rowcount
