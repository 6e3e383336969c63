"""The record of what officers did: rows are only ever added, and each carries the digest of the one before.

A row's digest is keyed, so whoever can write to the database but has no key file cannot mend the chain after changing
a row; the digest of the newest row stands beside the chain too, so that cutting off its end is seen. Telephone numbers
never stand in a row: a farmer or a phone is named by its id.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final, Protocol

from service.core.staff import Officer

# What stands in the record when nobody was signed in: a command at the service's own machine.
TERMINAL: Final = "terminal"


@dataclass(frozen=True, kw_only=True, slots=True)
class AuditRow:
    """One thing that was done.

    Attributes:
        id: its place in the chain, from 1.
        officer_id: who did it; None where it was a command at the machine itself.
        action: a word like `plot.edited`.
        subject: what it was done to, like `plot:17`.
        before: the digest of the row before.
        digest: its own.
    """

    id: int
    at: datetime
    officer_id: int | None
    action: str
    subject: str
    detail: Mapping[str, Any]
    before: bytes
    digest: bytes


class AuditEnd(Protocol):
    """The end of the record, where rows are added."""

    def now(self) -> datetime:
        """Return the present instant in real time: the record goes by it, whatever the demo's clock says."""
        ...

    def add(
        self, *, at: datetime, officer_id: int | None, action: str, subject: str, detail: Mapping[str, Any]
    ) -> None:
        """Put a row at the end of the chain; two at once wait for each other."""
        ...


class AuditRows(Protocol):
    """The whole record, for looking through it."""

    def rows(self) -> Iterator[AuditRow]:
        """Return the whole chain, the oldest row first."""
        ...

    def digest_of(self, row: AuditRow) -> bytes:
        """Return the digest that a row ought to have."""
        ...

    def head(self) -> tuple[int, bytes] | None:
        """Return the id and digest of the newest row as they were written beside the chain."""
        ...


class Noting(Protocol):
    """A unit of work in which something can be noted."""

    @property
    def audit(self) -> AuditEnd:
        """The record's end."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Checked:
    """What a look through the chain found: how many rows hold, and in words what is wrong, if anything is."""

    rows: int
    wrong: str | None


def note(
    work: Noting,
    officer: Officer | None,
    action: str,
    subject: str,
    detail: Mapping[str, Any],
    *,
    at: datetime,
) -> None:
    """Keep what an officer does, in the transaction in which it is done; it does not commit.

    Args:
        work: the unit of work of the deed.
        officer: who; None for a command at the machine itself.
        action: a word like `plot.edited`, the thing and what became of it.
        subject: what it was done to, like `plot:17`.
        detail: plain values, days and instants; never a telephone number, a password or a code.
        at: when, in real time; `work.audit.now()` where only service time is known.
    """
    plain = {name: _plain(value) for name, value in detail.items()}
    if officer is None:
        plain["by"] = TERMINAL
    work.audit.add(
        at=at, officer_id=officer.id if officer else None, action=action, subject=subject, detail=plain
    )


def check_chain(record: AuditRows) -> Checked:
    """Go through the whole record and say whether a row was changed, taken out or cut off."""
    before, last = b"", 0
    for row in record.rows():
        if row.id != last + 1:
            return Checked(rows=last, wrong=f"row {last + 1} is missing: the next one is {row.id}")
        if row.before != before:
            return Checked(rows=last, wrong=f"row {row.id} does not follow the row before it")
        if row.digest != record.digest_of(row):
            return Checked(rows=last, wrong=f"row {row.id} was changed after it was written")
        before, last = row.digest, row.id
    if record.head() != ((last, before) if last else None):
        return Checked(rows=last, wrong=f"the record was cut off after row {last}")
    return Checked(rows=last, wrong=None)


def _plain(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, set | frozenset | tuple | list):
        ordered = sorted(value, key=str) if isinstance(value, set | frozenset) else value
        return [_plain(one) for one in ordered]
    return value
