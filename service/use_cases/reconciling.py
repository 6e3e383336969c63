"""Comparing the database with the send journal when the worker starts, before a byte leaves.

Whatever leaves is committed in the database first and written in the journal second. So the journal can only know
a text that the database does not if the database is an older one: a backup was put back, or its last commits were
lost. Then everything the journal knows and the database does not is taken over, so that nothing is sent a second
time, what it cost is paid for, whoever had said stop or was erased is so again, what is in doubt stays so, and the
rest waits until a person has looked.

Of a text that was on the wire when the process ended, or when the backup was made, the journal may know that it was
accepted: then it is, and in no doubt.
"""

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Protocol

from service.core.journal import Departed, Departure, Journal, Outcome, Refusals
from service.core.wire_ports import Budget
from service.use_cases.budget import charge
from service.use_cases.holding import HoldReason, Keeping, begin_hold

# Given a text and its phone's id, holds what a spray forbids to pick; returns for how many plots.
HoldAgain = Callable[[Departure, int], int]
# Set by the command that puts a backup back; the comparison that follows takes it away.
RESTORED_AT: Final = "restored_at"
# The last text that an earlier comparison took over: what lies before it need not be known to the database.
_TAKEN_OVER: Final = "journal_taken_over"


class JournalRows(Protocol):
    """What the database knows of what the journal tells."""

    def unknown(self, references: Sequence[str]) -> frozenset[str]:
        """Return those of the references that no try in the database has."""
        ...

    def newest_reference(self) -> str | None:
        """Return the reference of the newest try, None where nothing was ever tried."""
        ...

    def unsettled(self) -> frozenset[str]:
        """Return the references of the tries under way when the last process ended, or the backup was made."""
        ...

    def settle(self, departed: Departed) -> None:
        """Let a text that is being sent be accepted, as the journal says it was."""
        ...

    def leave_doubts(self) -> None:
        """Let nothing that is in doubt be sent again by itself: the receipt that settled it may be lost."""
        ...

    def take_over(self, departed: Departed) -> bool:
        """Let the database know of a text that left; return whether the phone is known there.

        One in doubt is left for a person: the receipt that settled it may be lost with the newer database.
        """
        ...

    def phone_of(self, departure: Departure) -> int | None:
        """Return the id of the phone a text left to, None if it is not known."""
        ...

    def refusals(self) -> Refusals:
        """Return who has said stop and who was erased."""
        ...

    def refuse_again(self, refusals: Refusals, now: datetime) -> int:
        """Let whoever has said stop or was erased be so again; return for how many that was not so."""
        ...


class Reconciling(Keeping, Protocol):
    """A unit of work in which the two can be compared."""

    @property
    def journal(self) -> JournalRows:
        """The rows."""
        ...

    @property
    def budget(self) -> Budget:
        """The purses."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """What the comparison found.

    Attributes:
        taken_over: tries that the journal knew and the database did not.
        doubtful: those of them of which nobody knows whether they were sent.
        without_phone: those of them whose phone the database does not know either.
        held_again: plots from which nothing is picked since a spray was told there that the database has forgotten.
        refused_again: phones that are on the stop list again, and farmers erased again.
        compared: False where there was no journal to compare a restored database with.
    """

    taken_over: int = 0
    doubtful: int = 0
    without_phone: int = 0
    refused_again: int = 0
    held_again: int = 0
    compared: bool = True

    @property
    def sentence(self) -> str:
        """Say it to a person."""
        if not self.compared:
            return (
                "A backup was put back and there is no send journal to compare it with: what was sent after the "
                "backup is not known here and may be sent again. Nor are sprays told since: ask before anybody picks."
            )
        return (
            "The database is older than the send journal. Texts that had left and were taken over from it: "
            f"{self.taken_over} (in doubt {self.doubtful}, to phones not known here {self.without_phone}). "
            f"Stops and erasures put back: {self.refused_again}. Plots held again after a spray that was told: "
            f"{self.held_again}; ask those farmers, and enter what the label says on the plot's page. What officers "
            "entered themselves since the backup is to be entered again."
        )


def compare(
    work: Reconciling, journal: Journal, now: datetime, real_now: datetime, hold_again: HoldAgain
) -> Found | None:
    """Compare the database with the journal; return what was found if the database is an older one.

    Args:
        work: a unit of work; what is taken over is committed together with the hold.
        journal: the journal.
        now: service time.
        real_now: real time.
        hold_again: what lets nothing be picked where a text had promised a hold, see `service.use_cases.lost_sprays`.

    Raises:
        JournalError: the journal cannot be read.
    """
    _settle(work, journal)
    ahead = _ahead(work, journal)
    restored = bool(work.staff.setting(RESTORED_AT))
    if not ahead and not restored:
        work.commit()
        return None
    compared = bool(ahead) or _knows_newest(work.journal, journal)
    found = _take_over(work, ahead, journal.refusals(), now, hold_again, compared=compared)
    held = bool(ahead) or not compared
    work.journal.leave_doubts()
    if held:
        begin_hold(work, HoldReason.RESTORED, found.sentence, real_now)
    if ahead:
        work.staff.put_setting(_TAKEN_OVER, ahead[-1].departure.reference)
    work.staff.put_setting(RESTORED_AT, "")
    work.commit()
    return found if held else None


def _ahead(work: Reconciling, journal: Journal) -> Sequence[Departed]:
    """Return what the journal knows and the database does not, in the order in which it left.

    Commits keep the order of the journal, so what is not known is the journal's end.
    """
    known_end = work.staff.setting(_TAKEN_OVER)
    ahead: deque[Departed] = deque()
    for stretch in journal.newest_first():
        unknown = work.journal.unknown([one.departure.reference for one in stretch])
        for one in reversed(stretch):
            if one.departure.reference not in unknown or one.departure.reference == known_end:
                return ahead
            ahead.appendleft(one)
    return ahead


def _knows_newest(rows: JournalRows, journal: Journal) -> bool:
    """Return whether the journal knows what the database sent last: it belongs to it then, and is whole."""
    newest = rows.newest_reference()
    return newest is None or any(
        newest == one.departure.reference for stretch in journal.newest_first() for one in stretch
    )


def _settle(work: Reconciling, journal: Journal) -> None:
    """Take from the journal what came of the texts that the database was just sending."""
    wanted = set(work.journal.unsettled())
    for stretch in journal.newest_first() if wanted else ():
        for one in stretch:
            if one.departure.reference in wanted and one.outcome is Outcome.ACCEPTED:
                work.journal.settle(one)
        wanted -= {one.departure.reference for one in stretch}
        if not wanted:
            return


def _pay(work: Reconciling, departure: Departure) -> None:
    """Pay for a text from the purses of its day, so that no cap is passed by putting a backup back."""
    charge(work, departure.scopes, departure.paid_on, departure.parts)


def _take_over(
    work: Reconciling,
    ahead: Sequence[Departed],
    refusals: Refusals,
    now: datetime,
    hold_again: HoldAgain,
    *,
    compared: bool,
) -> Found:
    left = [one for one in ahead if one.outcome is not Outcome.STAYED]
    known = [work.journal.take_over(one) for one in left]
    for one in left:
        _pay(work, one.departure)
    refused_again = work.journal.refuse_again(refusals, now)
    # A promise that stayed here was made in a database that is lost all the same.
    promised = [(one.departure, work.journal.phone_of(one.departure)) for one in ahead]
    held = [hold_again(departure, phone) for departure, phone in promised if phone is not None]
    return Found(
        taken_over=len(left),
        doubtful=sum(one.outcome is Outcome.DOUBT for one in left),
        without_phone=known.count(False),
        refused_again=refused_again,
        held_again=sum(held),
        compared=compared,
    )
