"""An officer calls a farmer: the number is shown, and that it was shown is kept."""

from datetime import datetime
from typing import Protocol

from service.core.question_ports import QuestionRows
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.changing_farmers import ChangingWork, the_standing


class CallingWork(ChangingWork, Protocol):
    """A unit of work, as far as calling needs it."""

    @property
    def questions(self) -> QuestionRows:
        """Where numbers are opened."""
        ...


def show_number(work: CallingWork, officer: Officer, farmer_id: int, *, real_now: datetime) -> str | None:
    """Return the number on which texts reach a farmer; None where none is kept.

    That the farmer is the officer's is seen to where the farmer is looked up.

    Raises:
        Refused: the farmer is erased, or was never there.
    """
    phones = the_standing(work, farmer_id).phones
    if not phones:
        return None
    number = work.questions.number(phones[0])
    note(work, officer, "number.shown", f"farmer:{farmer_id}", {"phone": phones[0]}, at=real_now)
    work.commit()
    return number
