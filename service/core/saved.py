"""What a farmer told last and may take back."""

from dataclasses import dataclass
from datetime import date, datetime

from service.core.model import Reminder


@dataclass(frozen=True, kw_only=True, slots=True)
class SavedWeight:
    """A weight that UNDO can take back.

    Attributes:
        in_question: whether it is outside all totals still.
        replaced: grams of the same day's weights that it took the place of.
    """

    id: int
    plot_id: int
    on: date
    grams: int
    in_question: bool
    replaced: int
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class SavedJobs:
    """Jobs reported as done in one text, which UNDO can take back.

    Attributes:
        report_id: one of their reports.
        first: one of them.
        tasks: how many tasks they are.
    """

    report_id: int
    first: Reminder
    tasks: int
    at: datetime
