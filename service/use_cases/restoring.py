"""What has to hold in a database after a backup was put back, whatever the backup has forgotten."""

from datetime import datetime
from typing import Final, Protocol

from service.core.journal import Refusals
from service.core.ports import SettingRows
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.holding import Keeping
from service.use_cases.reconciling import RESTORED_AT, JournalRows

# When a backup was last put back, or tried: one that was never tried is a hope.
PROVED_AT: Final = "backup_proved_at"


class SignIns(Protocol):
    """Officers' sessions and one-time codes, as far as a restore needs them."""

    def end_sessions_before(self, began_before: datetime) -> None:
        """Forget all sessions that began before that instant."""
        ...

    def drop_codes(self, officer_id: int) -> None:
        """Forget an officer's one-time codes."""
        ...


class OfficerRows(SettingRows, Protocol):
    """Officers and settings."""

    def officers(self) -> tuple[Officer, ...]:
        """Return all officers."""
        ...


class Restored(Keeping, Protocol):
    """A unit of work in a database that was put back."""

    @property
    def staff(self) -> OfficerRows:
        """Officers and settings."""
        ...

    @property
    def logins(self) -> SignIns:
        """Sessions and codes."""
        ...

    @property
    def journal(self) -> JournalRows:
        """Who has said stop and who was erased."""
        ...


def settle_restored(work: Restored, refusals: Refusals, now: datetime, real_now: datetime) -> int:
    """Let whoever stopped or was erased since the backup be so again, and nobody be signed in.

    One-time codes go too: one that was used since the backup would work a second time. The worker compares the
    database with the send journal when it starts next.

    Args:
        work: a unit of work in the database that was put back.
        refusals: who has said stop and who was erased, up to the present.
        now: service time.
        real_now: real time.

    Returns:
        How many stops and erasures the backup had forgotten.
    """
    again = work.journal.refuse_again(refusals, now)
    work.logins.end_sessions_before(real_now)
    for officer in work.staff.officers():
        work.logins.drop_codes(officer.id)
    work.staff.put_setting(RESTORED_AT, real_now.isoformat())
    work.staff.put_setting(PROVED_AT, real_now.isoformat())
    note(work, None, "backup.restored", "database", {"refused_again": again}, at=real_now)
    work.commit()
    return again


def keep_proof(work: Keeping, real_now: datetime) -> None:
    """Keep that a backup was tried and is good."""
    work.staff.put_setting(PROVED_AT, real_now.isoformat())
    work.commit()
