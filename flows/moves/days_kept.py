"""Which days a report is kept for, and what is answered where it is not."""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, kw_only=True, slots=True)
class DaysKept:
    """The days a kind of report is kept for: today, and so far back.

    Attributes:
        oldest: how far back a day may lie.
        vague: the text that answers a time which is no single day.
        ahead: the text that answers a day to come.
        old: the text that answers a day before the oldest.
    """

    oldest: timedelta
    vague: str
    ahead: str
    old: str

    def refused(self, on: date, today: date, *, vague: bool) -> tuple[str, str] | None:
        """Return why a report of `on` is not kept and the text that answers it; None where it is kept."""
        cases = (
            (vague, "no single day was said", self.vague),
            (on > today, "the day is still ahead", self.ahead),
            (on < today - self.oldest, "the day is too long ago", self.old),
        )
        return next(((why, text_id) for holds, why, text_id in cases if holds), None)
