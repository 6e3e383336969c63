"""What was reckoned for a large district today, kept so that only the first who asks waits for it.

It is kept in this process and for this day alone: what farmers tell later today is in tomorrow's figures. The page says
since when they stand.
"""

from collections.abc import Callable, Hashable
from datetime import date, datetime

from service.use_cases.forecasting import Outlook


class KeptOutlooks:
    """Outlooks of one day by whose they are; those of less than `large` plots are reckoned anew each time."""

    def __init__(self, large: int) -> None:
        """Keep nothing yet."""
        self._large = large
        self._kept: dict[Hashable, tuple[date, datetime, Outlook]] = {}

    def look(
        self, whose: Hashable, today: date, now: datetime, reckon: Callable[[], Outlook]
    ) -> tuple[Outlook, datetime | None]:
        """Return the outlook reckoned on the day `today`, and since when it is kept; None where it is fresh."""
        kept = self._kept.get(whose)
        if kept is not None and kept[0] == today:
            return kept[2], kept[1]
        fresh = reckon()
        if fresh.histories.plots >= self._large:
            # One at most for each district: that of another day gives way.
            self._kept[whose] = today, now, fresh
        return fresh, None
