"""What was typed into a form and sent when the session had ended: kept for its officer until they are back.

Nothing of it is carried out. After signing in the officer finds the form filled, and sends it or not. All instants
here are real time, like those of sessions.
"""

from datetime import datetime

from service.core.staff import FORM_KEPT, KeptForm, Officer
from service.core.staff_ports import StaffWork


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
