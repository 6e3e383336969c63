"""What was typed into a form and sent when the session had ended: kept for its officer until they are back.

Nothing of it is carried out. After signing in the officer finds the form filled, and sends it or not. All instants
here are real time, like those of sessions.
"""

from datetime import datetime
from typing import Protocol

from service.core.staff import FORM_KEPT, KeptForm, Officer
from service.core.staff_ports import KeptFormRows, StaffWork


class FormsWork(Protocol):
    """A unit of work, as far as forgetting forms needs it."""

    @property
    def kept_forms(self) -> KeptFormRows:
        """Forms that met an ended session."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


def keep_form(work: StaffWork, officer: Officer, form: KeptForm, now: datetime) -> None:
    """Keep a form; the one before is forgotten."""
    work.kept_forms.keep(officer.id, form, now)
    work.commit()


def form_of(work: StaffWork, officer: Officer, now: datetime) -> KeptForm | None:
    """Return the form that waits for an officer, and never another's."""
    return work.kept_forms.of(officer.id, now - FORM_KEPT)


def drop_form(work: StaffWork, officer: Officer) -> None:
    """Forget the form of an officer: it was sent."""
    work.kept_forms.drop(officer.id)
    work.commit()


def forget_forms(work: FormsWork, now: datetime) -> int:
    """Forget the forms that nobody came back for in time; return how many those were."""
    gone = work.kept_forms.drop_before(now - FORM_KEPT)
    if gone:
        work.commit()
    return gone
